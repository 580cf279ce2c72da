"""A page of HTML as a reader that knows nothing of it finds it."""

import re
from html.parser import HTMLParser


def squeezed(text: str) -> str:
    """Text as one line: where a page breaks lines is the page's own business."""
    return re.sub(r"\s+", " ", text)


class Page(HTMLParser):
    """Its boxes, tags and words."""

    def __init__(self, content: str) -> None:
        super().__init__()
        self.boxes = 0
        self.tags: list[str] = []
        self.words: list[str] = []
        self.feed(content)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """One more, and its box if it is one."""
        self.tags.append(tag)
        self.boxes += ("type", "checkbox") in attrs

    def handle_data(self, data: str) -> None:
        """Words between tags."""
        self.words.append(data)

    @property
    def text(self) -> str:
        """All that is written on it."""
        return squeezed(" ".join(self.words))
