"""Every label, sentence and message that a user can meet: `python -m tests.labels`.

Found by walking the source: each text in the code of the ways in and of the rooms that speak, but
no docstring, no name and no code; `{…}` stands where something is filled in. With the phrases,
meanings and pages of the word table and the notes that the designs write. `--words` gives each
distinct word instead, with how often it stands there and where first: to find what a beginner, or a
person with little English, stumbles over. `--room tui` leaves out what another folder says.
"""

import argparse
import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from engine.words.vocabulary import PAGES, page_words, words

ROOT = Path(__file__).parents[1]
_ROOMS = ("counter", "engine")
_SILENT = ("engine/forge", "engine/pattern/text/pattern.lark")
"""What no user meets."""
_CODE = re.compile(r"[\\_<>{}=|^$#@]|::|\w\.\w+\(|^[\w.]+$|^[-\w/.*]+$|\.py\b|;\s*\w+:")
_SAID = re.compile(r"[^\W\d_]{2,} [^\W\d_]")
"""Two words beside each other."""


class Label(NamedTuple):
    """A text and where it stands."""

    where: str
    text: str


def labels(room: str = "") -> Iterator[Label]:
    """All of them, by file and line; `room` must be in the file's path."""
    for folder in _ROOMS:
        for path in sorted((ROOT / folder).rglob("*.py")):
            name = path.relative_to(ROOT).as_posix()
            if room in name and not name.startswith(_SILENT):
                yield from _in_file(path, name)
    if room in "words":
        yield from _table()


def _table() -> Iterator[Label]:
    for line in words():
        yield Label(f"word {line.action.value}", f"{'; '.join(line.phrases)}: {line.meaning}")
    for page in PAGES:
        yield Label(f"page {page.page.value}", page.meaning)
    for turned in page_words("en"):
        yield Label("page words", f"{'; '.join(turned.phrases)}: {turned.meaning}")


def _in_file(path: Path, name: str) -> Iterator[Label]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = {id(node) for part in ast.walk(tree) for node in _docstrings(part)}
    inside = {
        id(value)
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for value in node.values
    }
    for node in ast.walk(tree):
        if id(node) in silent or id(node) in inside:
            continue
        text = _text(node)
        if text and _shown(text):
            line = getattr(node, "lineno", 0)
            yield Label(f"{name}:{line}", " ".join(text.split()))


def _docstrings(node: ast.AST) -> Iterator[ast.AST]:
    """Texts that stand alone: what explains, and is not said."""
    for child in getattr(node, "body", []) if not isinstance(node, ast.Lambda | ast.IfExp) else []:
        if isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant):
            yield child.value


def _text(node: ast.AST) -> str:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(
            str(part.value) if isinstance(part, ast.Constant) else "…" for part in node.values
        )
    return ""


def _shown(text: str) -> bool:
    return bool(_SAID.search(text)) and not _CODE.search(re.sub(r"\{\w*\}", "", text))


def main() -> None:
    """Print them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--words", action="store_true", help="each distinct word")
    parser.add_argument("--room", default="", help="only files with this in their path")
    given = parser.parse_args()
    found = list(dict.fromkeys(labels(given.room)))
    if not given.words:
        for label in found:
            print(f"{label.where}\t{label.text}")
        return
    met: dict[str, list[str]] = {}
    for label in found:
        for word in re.findall(r"[^\W\d_]+(?:['’-][^\W\d_]+)*", label.text.lower()):
            met.setdefault(word, []).append(label.where)
    for word, places in sorted(met.items(), key=lambda one: (len(one[1]), one[0])):
        print(f"{len(places):4}  {word}  {places[0]}")


if __name__ == "__main__":
    main()
