"""The parts of a sentence about rows: what is worked, how long, from where, ending how."""

import re

_ONE = r"(?:\d+(?:\.\d+)?(?:\s?[½¼¾⅓⅔⅛⅜⅝⅞]|\s\d/\d+(?!\d)|\s?-\s?\d/\d+)?|[½¼¾]|\d/\d+)"
_BY_SIZE = rf"{_ONE}(?:\s*[(\[]\s*{_ONE}(?:\s*[,:;]\s*{_ONE})*\s*[)\]])*"
_UNIT = r"(?:cms?\b\.?|inch(?:es)?\b|ins?\b\.?|[\"”″])"
_LENGTH = (
    rf"(?P<length>{_BY_SIZE}\s*-?\s*(?:more\s+)?{_UNIT})"
    rf"(?:\s*(?:/|,?\s*or\s|[(\[])\s*{_BY_SIZE}\s*-?\s*{_UNIT}\s*[)\]]?)?"
)
MANY = {
    w: n
    for n, w in enumerate(
        [
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
        ],
        start=2,
    )
}
WORDS = "|".join(MANY)
_NUMBER = rf"(?P<number>\d+(?:\s*[(\[]\s*\d+(?:\s*[,:;]\s*\d+)*\s*[)\]])*|{WORDS})"
_ROWS = r"(?:rows?|rnds?|rounds?)\b"
_STS = r"(?:sts?|stitch(?:es)?|loops?)\b\.?"
_STITCHES = (
    r"(?:st(?:oc?k\w*)?[\s-]*st(?:itch)?|stockinette|garter(?:[\s-]*st(?:itch)?)?|"
    r"(?:moss|seed)[\s-]*st(?:itch)?)\b"
)
_NO_THING = (
    r"(?!sts?\b|stitch|loops?\b|rows?\b|rnds?\b|rounds?\b|rem|marker|until\b|or\b|and\b|"
    r"there\b|you\b)"
)
_SUBJECT = rf"(?P<subject>(?:{_NO_THING}[a-z][a-z'’-]*\s+){{0,6}}?)"
FROM = (
    r"from\s+(?:the\s+|your\s+|its\s+)?(?:very\s+)?"
    r"(?:beg(?:inning)?\.?|start|commencement|cast[\s-]*on|co|bottom|lower|first|(?:very\s+)?top(?!\s+of))\b"
    r"(?:\s+(?:edge|row|point|round))?"
)
_ABOUT = (
    r"(?:(?:now|just|at\s+least|about|approx(?:imately)?|around|roughly|some|a\s+total\s+of|nearly|"
    r"another|a\s+further|an?\s+additional)\.?\s+)*"
)
_SIDE = (
    r"(?:(?P<rs>RS|right[\s-]+side)|(?P<ws>WS|wrong[\s-]+side)|(?P<k>k(?:nit)?)|(?P<p>p(?:url)?))"
)
_AT_EDGES = r"(?:(?:at|on)\s+(?:each|both|either)\s+(?:end|edge|side)s?)"

_PARTS = {
    "as long": (
        rf"(?:until|till|to)\s+(?:{_NO_THING}[a-z]+\s+){{0,4}}?(?:is\s+|measures\s+|are\s+|matches\s+|equals\s+|match\s+|"
        r"corresponds\s+(?:to|with)\s+)?(?:the\s+)?(?:same\s+)?(?:length\s+)?(?:as\s+)?(?:long\s+as\s+)?(?:that\s+of\s+|for\s+)?(?:the\s+)?"
        r"(?P<of>(?:(?:left|right)\s+)?(?:back|front))\b"
        r"(?:\s+(?:to|at|up\s+to)\s+(?:the\s+)?(?:(?:start|beg(?:inning)?)\s+of\s+)?(?:the\s+)?(?:(?P<arm>armholes?|raglans?)|shoulders?)(?:\s+shapings?)?)?"
        r"(?<!until\sback)(?<!until\sfront)(?<!until\sthe\sback)(?<!until\sthe\sfront)(?!\s+(?:measures|is|reaches))"
    ),
    "on": (
        rf"(?:on|over|across)\s+(?:the\s+|these\s+|those\s+)?(?:rem(?:aining)?\.?\s+|cent(?:re|er)\s+|last\s+|middle\s+)?"
        rf"(?P<on>\d+(?:\s*[(\[]\s*\d+(?:\s*[,:;]\s*\d+)*\s*[)\]])?)\s+{_STS}(?!\s+only)"
    ),
    "measures": (
        rf"(?:until|till|til)\s+(?:[^\d.;*]{{0,70}}?(?:\bor\s+(?:until\s+)?|,\s*(?=about|approx|around)|\(\s*(?=about|approx|around)|"
        rf"[,;(–—-]\s*(?:i\s+(?:stopped|finished|ended|did|went|made\s+(?:mine|it))|mine\s+(?:is|was|measures|measured|came\s+to|ended\s+up))\s+(?:at\s+|to\s+|for\s+)?))?{_SUBJECT}(?:{FROM}\s+)?"
        r"(?:(?:now|just|only)\s+)?(?:measures?|meas|is|are|it['’]s|reaches|has\s+reached|comes?\s+to|gets?\s+to|"
        rf"has\s+grown\s+to|will\s+measure|should\s+measure)?\.?\s*{_ABOUT}{_LENGTH}"
    ),
    "for": rf"(?:for\s+)?{_ABOUT}{_LENGTH}(?:\s+more)?",
    "until rows": (
        rf"(?:until|till)\s+(?:you\s+have\s+|you['’]ve\s+|there\s+are\s+|(?:(?!you\b|there\b)[a-z]+\s+){{1,3}}(?:has|have|is|counts|reaches)\s+)?"
        r"(?:(?:worked|knitted|knit|completed|made|done)\s+)?"
        rf"(?:a\s+total\s+of\s+)?{_NUMBER}\s+(?:rows|rnds|rounds)\b"
        rf"(?P<fabric>\s+of\s+(?:the\s+|your\s+)?(?:(?:k\s?\d\s*,?\s*p\s?\d\s+)?rib(?:bing)?\b|{_STITCHES}))?"
        r"(?:\s+(?:have\s+been\s+|are\s+)?(?:worked|completed?|done|made|knitted)|\s+in\s+(?:all|total)|\s+total)*"
    ),
    "until sts": (
        r"(?:until|till|til)\s+(?:you\s+(?:are|get)\s+(?:back\s+)?(?:down\s+)?to\s+|you['’]re\s+down\s+to\s+|you\s+have\s+|"
        r"you['’]ve\s+(?:got\s+)?|there\s+(?:are|is)\s+|there['’]s\s+|you\s+are\s+left\s+with\s+|only\s+|just\s+)*"
        rf"{_NUMBER}\s+(?:{_STS})?(?:\s*(?:(?:are\s+|is\s+)?(?:remain(?:ing|s)?|rem\b\.?|left|there)|"
        r"(?:left\s+)?on\s+(?:the\s+|your\s+|each\s+)?(?:needles?|hook)|in\s+(?:all|total)))*"
    ),
    "times": (
        r"(?:for\s+)?(?P<more>another\s+|a\s+further\s+|an?\s+additional\s+)?(?P<total>a\s+total\s+of\s+)?"
        rf"{_NUMBER}\s+(?P<more2>more\s+)?times\b(?P<more3>\s+more)?(?P<all>\s+in\s+(?:all|total)|\s+total|\s+altogether)?"
    ),
    "once": r"(?P<once>once|twice)\b(?P<more>\s+more|\s+again)?",
    "rows": (
        rf"(?:for\s+)?(?:a\s+further\s+|another\s+|(?P<total>a\s+total\s+of\s+))?{_NUMBER}\s+"
        r"(?:more\s+|further\s+)?(?:rows|rnds|rounds)\b"
        r"(?:\s+more|(?P<all>\s+in\s+(?:all|total)|\s+total|\s+altogether))?"
    ),
    "about": (
        r"[(\[]\s*(?:=|about|approx(?:imately)?\.?|around|roughly|or|that\s+is|i\.e\.,?|making|a\s+total\s+of|\s)*"
        r"(?P<number>\d+(?:\s*[(\[]\s*\d+(?:\s*[,:;]\s*\d+)*\s*[)\]])?)\s+(?:rows|rnds|rounds)\b"
        r"(?:\s+(?:worked|knit(?:ted)?))?(?P<all>\s+in\s+(?:all|total)|\s+total|\s+altogether)?(?:\s+worked)?\s*[)\]]"
    ),
    "numbered": (
        r"(?:(?:the\s+)?(?:pattern|patt|lace|cable|chart|mesh|eyelet)\s+)?"
        rf"(?P<said>{_ROWS}\s*\d+(?:\s*(?:-|–|to|through|and|&|\+)\s*(?:{_ROWS}\s*)?\d+)*)"
    ),
    "last": (
        r"(?:(?:the|all|pattern|patt|of)\s+)*(?:these|those|this|last|both|above|previous|same)\s+(?:same\s+|last\s+)?"
        rf"(?:(?P<count>\d+|{WORDS})\s+)?(?:(?!row|rnd|round)[a-z]+\s+)?(?P<unit>{_ROWS})"
    ),
    "named": (
        r"(?:the\s+|these\s+|this\s+|your\s+)?(?P<said>(?:dec(?:reas(?:e|ing))?|inc(?:reas(?:e|ing))?|eyelet|"
        r"rib(?:bing|bed)?|lace|pattern)\s+(?:row|rnd|round))\b"
    ),
    "ending": (
        r"(?:and\s+)?(?:ending|end(?:ed)?|finishing|finish|stopping|stop|having\s+ended)\s+(?:up\s+)?"
        r"(?:(?:with|on|after|by|working|completing|having\s+(?:just\s+)?(?:worked|completed))\s+)*(?:an?\s+|the\s+)?"
        rf"(?:{_SIDE}(?:\s+(?:row|rnd|round))?(?!\s*\d|\s+facing)|(?:{_ROWS}\s*(?P<row>\d+(?:\s+or\s+\d+)?))|(?P<nth>\d+)(?:st|nd|rd|th)\s+{_ROWS})"
    ),
    "from beg": FROM,
    "since": (
        r"(?:from|above|past|beyond|after|since)\s+(?:the\s+)?(?:(?:top|end|edge)\s+of\s+(?:the\s+)?)?(?:"
        r"(?P<rib>rib(?:bing|bed\s+\w+)?|cuff|welt|brim|hem|waistband)|"
        r"under\s?arms?(?:\s+cast[\s-]?on(?:\s+edge)?)?|armholes?(?:\s+shaping)?|divid(?:e|ing)(?:\s+(?:row|rnd|round))?)\b"
    ),
    "every": r"(?:every|each)\s+(?:row|rnd|round)\b",
    "border": (
        rf"with\s+border\s+of\s+(?P<n>\d+)\s+{_STS}|"
        rf"(?:with|keeping|working|maintaining)\s+(?:the\s+)?(?:first\s+and\s+last\s+)?(?P<m>\d+|{WORDS})\s+(?:edge\s+|border\s+)?{_STS}\s+"
        rf"(?:{_AT_EDGES}\s+)?in\s+garter(?:[\s-]*st(?:itch)?)?(?:\s+{_AT_EDGES})?(?:\s+throughout)?"
    ),
    "as before": (
        r"(?:in\s+(?:exactly\s+)?(?:this|the\s+same|that)\s+(?:way|manner|fashion)|like\s+(?:this|that)|thus)\b"
    ),
    "patterned": (
        r"in\s+patt\s+(?P<quoted>\"[^\"]*\")|"
        r"in\s+(?:the\s+|your\s+|this\s+|that\s+)?(?:est(?:ablished)?\.?\s+)?(?:patt(?:ern)?|rib(?:bing)?|lace(?:\s+pattern)?|mesh|"
        r"stitch\s+pattern)\b(?!\s+st)(?:\s+as\s+(?:set|est(?:ablished)?|before))?|as\s+(?:set|est(?:ablished|\.)?|before)\b"
    ),
    "rib": (
        r"(?:in\s+|with\s+|a\s+)?(?:[(*\[]\s*)?k(?:nit)?\s?(?P<k>\d)\s*,?\s*(?:/|x|and\s+|-)?\s*p(?:url)?\s?(?P<p>\d)\s*[)*\]]?\s*"
        r"(?:rib(?:bing)?\b|(?=until|for))"
    ),
    "fabric": rf"(?:in\s+)?(?P<said>{_STITCHES})(?:\s*\([^()\d]*\))?",
    "even": (
        r"(?:even(?:ly)?|straight(?:\s+on)?|without\s+(?:further\s+|any\s+(?:more\s+|further\s+)?)?(?:shaping|increasing|decreasing|increases|decreases)|plain)\b"
    ),
    "verb": (
        r"(?P<verb>rep(?:eat(?:ing)?)?\b\.?|work(?:ing)?|cont(?:inue|inuing)?\b\.?|carry(?:ing)?\s+on|keep\s+on|keep|"
        r"go\s+on|going|proceed|knit(?:ting)?|purl(?:ing)?|k|p)\b"
    ),
}
PARTS = {name: re.compile(text, re.I) for name, text in _PARTS.items()}
"""In the order in which they are tried."""
