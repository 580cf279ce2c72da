"""Texts that a terminal, a screen, a sheet or a drawing could take for more than text."""

from collections.abc import Iterable, Iterator

from hypothesis import strategies as st

KNOWN = {
    "brackets": "Use [red] yarn [2 balls], then [MC] here",
    "closing bracket": "[/MC] [/2 colours] [/]",
    "button": "[@click=app.quit]press[/] [link=https://example.org]x[/]",
    "style": "[bold red on white]x [$accent]y[/$accent] \\[z",
    "variables": "$key $title ${x} {0} {title!r} %s %(x)d",
    "colour": "\x1b[31mred\x1b[0m",
    "clear": "\x1b[2J\x1b[H\x1bc",
    "terminal title": "\x1b]0;owned\x07 \x1b]2;owned\x1b\\",
    "link": "\x1b]8;;https://example.org\x1b\\x\x1b]8;;\x1b\\",
    "clipboard": "\x1b]52;c;b3duZWQ=\x07",
    "device": "\x1bP+q544e\x1b\\ \x1b_app\x1b\\ \x1b^pm\x1b\\",
    "answerback": "\x05\x1b[6n\x1b[c",
    "bell": "\x07\x08\x08x",
    "C1": "\x9b31m\x9d0;owned\x9c\x90q\x9c\x85",
    "line": "x\n2026-01-01 00:00:00  advance       step 9",
    "other lines": "x\ry\r\nz\x0bv\x0cf\x1cs\u2028l\u2029p",
    "nul": "a\0b\0",
    "bidi": "\u202eevil\u202c \u2066x\u2069 \u200f\u061c",
    "no width": "a\u200bb\u2060c\ufeffd\u00ade\u034ff\u180eg",
    "fillers": "\u3164\u115f\u1160\uffa0\U000e0041",
    "surrogate": "\ud83e \udcff",
    "noncharacters": "\ufdd0\ufffe\uffff\U0010ffff",
    "HTML": "<script>alert(1)</script><img src=x onerror=alert(1)>\"'><b>",
    "entities": "&amp; &#27; &lt;b&gt; &bogus; ]]> <!-- x --> <?php ?>",
    "SVG": "</text><a href=\"javascript:alert(1)\"><text onload='x'>",
    "typst": '#eval("1") #read("/etc/passwd") #panic() $x$ *b* _i_ `r` @ref <label> // c \\',
    "templates": "{{ 7*7 }} {% raw %} {# c #}",
    "formula": "=1+1 @SUM(1) +1 -1",
    "emoji": "👩\u200d👧 ❤\ufe0f 🧶 1\ufe0f\u20e3",
    "scripts": "編み物 שלום می\u200cخواهم e\u0301\u0301\u0301\u0301",
}
_PIECES = [
    *(
        "\x1b[31m",
        "\x1b]0;o\x07",
        "\x1b\\",
        "\x1bP",
        "\x9b2J",
        "\x9d",
        "\x07",
        "\x08",
        "\x7f",
        "\0",
    ),
    *("\n", "\r", "\r\n", "\t", "\x0b", "\x0c", "\x1c", "\x85", "\u2028", "\u2029"),
    *("\u202e", "\u202a", "\u2066", "\u2069", "\u200f", "\u200b", "\u200c", "\u200d", "\ufeff"),
    *("\u00ad", "\ufe0f", "\U000e0001", "\ud800", "\udc80", "\ufffe", "\u3164", "\u0301"),
    *("[red]", "[/]", "[/MC]", "[", "]", "\\[", "[@click=app.quit]", "[link=x]", "$x", "{0}", "%s"),
    *("<script>", "</text>", "<a href='x'>", "]]>", "<!--", "&", "&#27;", '"', "'", ">", "<"),
    *('#eval("1")', "#", "$", "*", "_", "`", "\\", "//", "@", "{{", "{%", "{#", "=", "~"),
    *("a", "Z", "9", " ", "½", "é", "編", "ש", "م", "🧶", "👩", "row done", "step 9"),
]
TEXTS = st.lists(
    st.sampled_from(_PIECES) | st.characters(codec=None, categories=None), min_size=1, max_size=7
).map("".join)
"""Made of such pieces and of any characters at all."""


class Supply:
    """Hands out texts, over and over, and counts them."""

    def __init__(self, texts: Iterable[str]) -> None:
        self._texts = list(texts)
        self.given = 0

    def take(self, longest: int = 200) -> str:
        """The next text."""
        text = self._texts[self.given % len(self._texts)]
        self.given += 1
        return text[:longest]

    def __iter__(self) -> Iterator[str]:
        while True:
            yield self.take()
