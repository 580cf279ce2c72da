"""The map for those who take over, held against the house."""

import importlib
import pkgutil
import re
from pathlib import Path

import pytest

import counter
import engine
from tests.house import ordered

ROOT = Path(__file__).parents[1]
MAP = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
ROOMS = [
    "engine",
    "counter",
    "models",
    *(
        f"{package.__name__}.{module.name}"
        for package in (engine, counter)
        for module in pkgutil.iter_modules(package.__path__)
        if module.ispkg
    ),
]


def named() -> list[str]:
    """What the map calls by its place: paths, modules, and commands that run a module."""
    told = re.findall(r"`([^`]+)`", re.sub(r"```.*?```", "", MAP, flags=re.DOTALL))
    return sorted({word for line in told for word in re.split(r"[\s,]+", line) if _place(word)})


def _place(word: str) -> bool:
    return bool(re.fullmatch(r"(engine|counter|models|tests)[/.][\w/.*]*\w/?", word))


@pytest.mark.parametrize("place", named())
def test_every_place_that_the_map_names_is_there(place: str) -> None:
    if "/" in place:
        assert (ROOT / place).exists() or list(ROOT.glob(place)), f"{place} is not there"
        return
    path = place.replace(".", "/")
    while not any((ROOT / (path + end)).exists() for end in ("", ".py")):
        # `engine.keep.store.Store` names something inside a module.
        module, _, name = path.rpartition("/")
        assert module, f"{place} is not there"
        path = module
        if (ROOT / f"{module}.py").exists():
            assert hasattr(importlib.import_module(module.replace("/", ".")), name), place


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_says_what_it_is_for_and_stands_on_the_map(room: str) -> None:
    told = importlib.import_module(room).__doc__ or ""
    assert len(told.split()) >= 5
    assert len(told.strip().splitlines()) >= 3
    inside = [name for name in re.findall(r"`([\w.]+)`", told) if _inside(room, name)]
    assert inside, "it names no door"
    if "." in room:
        assert f"`{room.replace('.', '/')}/`" in MAP


def _inside(room: str, name: str) -> bool:
    """Whether a name leads into the room: a module, a folder, or something that one of them has."""
    head, _, rest = name.partition(".")
    folder = ROOT / room.replace(".", "/")
    if not (folder / head).exists() and not (folder / f"{head}.py").exists():
        return not rest and hasattr(importlib.import_module(room), head)
    return not rest or hasattr(importlib.import_module(f"{room}.{head}"), rest.split(".")[0])


def test_rooms_are_told_from_the_ground_up_and_a_circle_last() -> None:
    assert ordered({"roof": {"wall"}, "wall": {"ground"}, "ground": set()}) == [
        "ground",
        "wall",
        "roof",
    ]
    assert ordered({"hen": {"egg"}, "egg": {"hen"}, "yard": set()}) == ["yard", "hen", "egg"]
