"""No module of the screens has a way of its own to show text: brackets could be obeyed there."""

import ast
from pathlib import Path

import pytest
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.content import Content, Span

from counter.tui.widgets.words import Unspoken, told

ROOM = Path(__file__).parents[3] / "counter" / "tui"
DOOR = ROOM / "widgets" / "words.py"
MODULES = sorted(set(ROOM.rglob("*.py")) - {DOOR})
FORBIDDEN_IMPORTS = ("textual.widgets", "textual.markup", "rich.text", "rich.markup")
FORBIDDEN_NAMES = frozenset(
    {"from_markup", "from_text", "from_rich_text", "tooltip", "border_title", "border_subtitle"}
)


def faults(source):
    """What in a module would show text past the door."""
    found = []
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.ImportFrom(module=str(module)) if module.startswith(FORBIDDEN_IMPORTS):
                found.append(f"line {node.lineno} imports {module}")
            case ast.Import(names=names) if any(
                name.name.startswith(FORBIDDEN_IMPORTS) for name in names
            ):
                found.append(f"line {node.lineno} imports it whole")
            case ast.Attribute(attr=name) | ast.keyword(arg=str(name)) if name in FORBIDDEN_NAMES:
                found.append(f"{name} is used")
            case ast.keyword(arg="markup", value=value) if ast.unparse(value) != "False":
                found.append("markup is turned on")
            case ast.FunctionDef(name="render", returns=returns) if (
                returns is None or ast.unparse(returns) != "Content"
            ):
                found.append(f"line {node.lineno}: render gives a string, which is markup")
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_a_module_shows_text_through_the_door(path):
    assert faults(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "source",
    [
        "from textual.widgets import Static",
        "import textual.widgets as w",
        "from textual.widgets.option_list import Option",
        "from rich.text import Text",
        "x = Content.from_markup('[b]x')",
        "self.border_title = title",
        "Button(tooltip=title)",
        "self.notify(text, markup=True)",
        "class W(Widget):\n    def render(self) -> str:\n        return self.title",
        "class W(Widget):\n    def render(self):\n        return self.title",
    ],
)
def test_the_test_finds_what_shows_text_past_the_door(source):
    assert faults(source)


def test_text_keeps_its_brackets_and_its_style():
    assert told("[b]x[/]\x1b").plain == "[b]x[/]␛"
    styled = told(Content("a\x1bbc", [Span(2, 4, "bold")]))
    assert styled.plain == "a␛bc"
    assert styled.spans == [Span(2, 4, "bold")]


def test_the_last_door_keeps_the_width_of_a_line():
    style = Style(bold=True)
    line = [Segment("a\x1b[31mb\u202e", style), Segment("編\u200b み", style)]
    assert Unspoken().apply(line, Color(0, 0, 0)) == [
        Segment("a[31mb", style),
        Segment("編 み", style),
    ]
