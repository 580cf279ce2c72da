"""The house as it stands: rooms, and which room uses which. `python -m tests.house [ROOM]`.

Rooms stand from the ground up: none uses one that comes after it. With a room, its modules.
"""

import argparse
from pathlib import Path

import grimp

PACKAGES = ("models", "engine", "counter")


def room(module: str) -> str:
    """The room of a module: `engine.keep.journal.copy` stands in `engine.keep`."""
    top, *rest = module.split(".")
    return f"{top}.{rest[0]}" if rest and top != "models" else top


def name_in(module: str, place: str) -> str:
    """A module as it is called inside a room, or by its room where it stands elsewhere."""
    if module.startswith(f"{place}."):
        return module.removeprefix(f"{place}.").split(".")[0]
    return room(module)


def uses(graph: grimp.ImportGraph, place: str = "") -> dict[str, set[str]]:
    """What each room imports from other rooms; inside `place` what each of its modules does."""
    called = (lambda module: name_in(module, place)) if place else room
    found: dict[str, set[str]] = {}
    for module in sorted(graph.modules):
        if module in PACKAGES or (place and not module.startswith(f"{place}.")):
            continue
        own = found.setdefault(called(module), set())
        own |= {called(used) for used in graph.find_modules_directly_imported_by(module)}
    for name, used in found.items():
        used -= {name, *PACKAGES[1:]}
    return found


def ordered(found: dict[str, set[str]]) -> list[str]:
    """The rooms so that each comes after all that it uses; those of a circle come last."""
    placed: list[str] = []
    while ready := [
        name for name in found if name not in placed and found[name] & set(found) <= set(placed)
    ]:
        placed += ready
    return placed + [name for name in found if name not in placed]


def main() -> None:
    """Print them."""
    parser = argparse.ArgumentParser(prog="python -m tests.house", description=__doc__)
    parser.add_argument("room", nargs="?", default="", help="as in engine.keep")
    place = parser.parse_args().room
    graph = grimp.build_graph(*PACKAGES, cache_dir=None)
    found = uses(graph, place)
    if not found:
        raise SystemExit(f"There is no room {place!r}: python -m tests.house lists them.")
    for name in ordered(found):
        print(f"{name:16} uses {', '.join(sorted(found[name])) or 'nothing of ours'}")
    lines = sum(
        len(Path(*module.split(".")).with_suffix(".py").read_text(encoding="utf-8").splitlines())
        for module in graph.modules
        if Path(*module.split(".")).with_suffix(".py").exists()
    )
    print(f"{len(graph.modules)} modules, {lines} lines, {graph.count_imports()} imports")


if __name__ == "__main__":
    main()
