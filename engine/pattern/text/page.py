"""A web page pasted with its tags, made into the lines that it shows."""

import re
from html.parser import HTMLParser

from engine.pattern.text.written import Written, joined

_TAG = re.compile(
    r"<(/?)(html|body|head|div|p|br|h[1-6]|ul|ol|li|table|tr|td|span|strong|em|b|i)\b[^<>]*>", re.I
)
_TAGS_AT_LEAST = 2
_HIDDEN = {"script", "style", "head", "noscript", "template", "svg", "nav", "button", "select"}
_BREAKS = {
    "p", "div", "br", "li", "ul", "ol", "tr", "table", "section", "article", "blockquote", "pre",
    "header", "footer", "main", "aside", "dl", "dt", "dd", "figure", "figcaption", "hr", "form",
    *(f"h{n}" for n in range(1, 7)),
}  # fmt: skip
_APART = {"p", "ul", "ol", "table", "blockquote", *(f"h{n}" for n in range(1, 7))}
"""Elements with an empty line before and after them."""
_NO_END = {"br", "hr", "img", "meta", "link", "input", "wbr", "area", "col", "source"}


def is_page(text: str) -> bool:
    """Whether a text is the source of a web page, or a piece of one."""
    return sum(1 for _ in _TAG.finditer(text, 0, 200_000)) >= _TAGS_AT_LEAST


class _Shown(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=False)
        self.lines: list[Written] = []
        self.pieces: list[Written] = []
        self.hidden: list[str] = []
        self.title: Written | None = None
        self.in_title = self.verbatim = False

    def _put(self, text: str, shown: str | None = None) -> None:
        if not text:
            return
        line, column = self.getpos()
        if shown is not None:  # an entity
            self.pieces.append(Written.at(shown, line, column + 1))
            return
        for index, part in enumerate(text.split("\n")):
            if index and self.verbatim:
                self.end_line()
            elif index:
                self.pieces.append(Written.at(" ", line + index, 1))
            self.pieces.append(Written.at(part, line + index, column + 1 if not index else 1))

    def end_line(self) -> None:
        whole = joined(self.pieces, "").sub(re.compile(r"[ \t]+"), " ").strip(" ")
        self.pieces = []
        if whole.text:
            self.lines.append(whole)

    def apart(self) -> None:
        self.end_line()
        if self.lines and self.lines[-1].text:
            self.lines.append(Written.at("", self.getpos()[0]))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "title":
            self.in_title = True
        elif tag in _HIDDEN:
            self.hidden.append(tag)
        elif tag in {"td", "th"} and self.pieces:
            self.pieces.append(Written.at(" ", *self.getpos()))
        elif tag in _BREAKS:
            self.apart() if tag in _APART else self.end_line()
            self.verbatim = self.verbatim or tag == "pre"

    def handle_endtag(self, tag: str) -> None:
        if tag == "title":
            self.in_title = False
        elif tag in self.hidden:
            del self.hidden[self.hidden.index(tag) :]
        elif tag in _BREAKS and tag not in _NO_END:
            self.apart() if tag in _APART else self.end_line()
            self.verbatim = self.verbatim and tag != "pre"

    def _said(self, text: str, shown: str | None = None) -> None:
        if self.in_title:
            if self.title is None and text.strip():
                line, column = self.getpos()
                self.title = Written.at(" ".join(text.split()), line, column + 1)
        elif not self.hidden:
            self._put(text, shown)

    def handle_data(self, data: str) -> None:
        self._said(data)

    def handle_entityref(self, name: str) -> None:
        self._said(f"&{name};", self.unescaped(f"&{name};"))

    def handle_charref(self, name: str) -> None:
        self._said(f"&#{name};", self.unescaped(f"&#{name};"))

    @staticmethod
    def unescaped(text: str) -> str:
        from html import unescape

        return unescape(text)


def shown_lines(text: str) -> list[Written]:
    """The lines that a browser would show, each with its places in the source."""
    reader = _Shown()
    reader.feed(text)
    reader.close()
    reader.end_line()
    shown = reader.lines
    title = reader.title
    if title and all(title.text.lower() not in line.text.lower() for line in shown[:5]):
        shown = [title, Written.at("", title.line), *shown]
    return shown
