"""The built-in designs: centimetres in, a row script out.

`shapes` and `openfront` are what they are put together from, `fabric` begins and ends them. Door:
`DESIGNS`, all by their names; the module of one is read when it is first asked for, so that a make
on the table waits for no design.
"""

from collections.abc import Iterator, Mapping
from importlib import import_module

from engine.base.refusal import Refusal
from engine.designs.design import Design

PRACTICE = "practice"
"""The design that teaches the words."""
_WRITTEN = "written"
"""A pattern of somebody's own: on no list, and a design all the same."""
_NAMES = (
    "cardigan",
    "vest",
    "child-cardigan",
    "pullover",
    "raglan",
    "yoke-pullover",
    "cap",
    "cowl",
    "scarf",
    "hooded-scarf",
    "shawl",
    "throw",
    "blanket",
    "pillow",
    "tote",
    "petbed",
    "hat",
    "mittens",
    "socks",
    PRACTICE,
)


class _Designs(Mapping[str, Design]):
    """Each by its name, in the order in which they are told; `child-cardigan` is `child_cardigan`.

    Raises KeyError for another name.
    """

    def __getitem__(self, name: str) -> Design:
        if name not in self:
            raise KeyError(name)
        return _of(name)

    def __iter__(self) -> Iterator[str]:
        return iter(_NAMES)

    def __len__(self) -> int:
        return len(_NAMES)

    def __contains__(self, name: object) -> bool:
        return name in _NAMES


DESIGNS: Mapping[str, Design] = _Designs()


def design(name: str) -> Design:
    """The design of that name. Raises Refusal for another."""
    if name != _WRITTEN and name not in DESIGNS:
        raise Refusal(f"There is no design {name!r}; the designs are {', '.join(DESIGNS)}.")
    return _of(name)


def _of(name: str) -> Design:
    found: Design = import_module(f"{__name__}.{name.replace('-', '_')}").DESIGN
    return found
