"""What stands above the work: its title, and the line with which the work begins."""

import re

from engine.pattern.text.attempt import attempt
from engine.pattern.text.gauge_line import tension_in
from engine.pattern.text.layout import Laid
from engine.pattern.text.sections import Headed
from engine.pattern.text.talk import speaks
from engine.pattern.text.written import Written

_CAST_ON = re.compile(
    r"(?<![\w-])(?:cast(?:ing)?[\s-]+on|c/?o|count(?:\s+out)?|lay\s+out)\b(?!\s+edge)[^.;]{0,25}?(?<![\w.])"
    r"(?:\d+|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|sixteen|eighteen|twenty|thirty|forty|fifty|"
    r"sixty|seventy|eighty|ninety)(?!\s*(?:mm|cm|in\b|\"|%|\.\d))",
    re.I,
)
_TITLE_AT_MOST = 80
NO_TITLE = re.compile(
    r"^(?:print|skip to|home|menu|search|about|contact|page \d|share|save|pin|https?:|www\.|by\s|"
    r"©|copyright|free |posted|\d{1,2}[./]\d|january|february|march|april|"
    r"may \d|june|july|august|september|october|november|"
    r"december|subscribe|log ?in|sign|advert)",
    re.I,
)


def begins(text: str) -> bool:
    """Whether the work begins with a line that stands below the materials, say."""
    return bool(_CAST_ON.search(text)) and not re.search(r"\b(?:i|we)\s+cast", text, re.I)


def is_title(line: Laid, words: Written, head: Headed | None) -> bool:
    """Whether a line above the work is the title of the page."""
    text = words.text
    if (head and head.kind != "piece") or len(text) > _TITLE_AT_MOST or NO_TITLE.match(text):
        return False
    if (
        (text[-1] in ".!?;," and not text.isupper())
        or ":" in text
        or speaks(text)
        or not any(c.isalpha() for c in text)
        or tension_in(text)
    ):
        return False
    if line.heading:
        return True
    return not isinstance(attempt(words), tuple) and not _CAST_ON.match(text)
