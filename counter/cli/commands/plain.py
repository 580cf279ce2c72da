"""`spokenrow plain`: the shelf, and a make, line by line, for a screen reader or a pipe.

No layout, no escape codes: every instruction and every answer is one line, and a line typed is a
key or a word of the one table.
"""

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

from counter.cli.arguments import add_ears_arguments, asked_by
from counter.cli.plain_session import Session
from counter.cli.plain_shelf import PlainShelf
from counter.shared.outward import tell
from counter.shared.places import open_store
from counter.shared.settings import Settings, load, settings_path
from counter.shared.work import open_work
from engine.base.refusal import Refusal
from engine.keep.store import Store


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("plain", help="a make as plain lines, for a screen reader")
    parser.add_argument("name", nargs="?", help="the make; without it, the shelf")
    parser.add_argument(
        "--hear", type=Path, metavar="FILE", help="hear a recording instead of reading lines"
    )
    parser.add_argument(
        "--listen",
        action="store_true",
        help="hear the microphone beside the lines, and read the answers out",
    )
    parser.add_argument("--quiet", action="store_true", help="with --listen: read nothing out")
    parser.add_argument("--microphone", metavar="NAME", help="a microphone, or a part of its name")
    parser.add_argument(
        "--take-over", action="store_true", help="go on here with a make that is open elsewhere"
    )
    add_ears_arguments(parser)
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Work on the make until the input ends or it is laid on the shelf."""
    settings, trouble = load(settings_path(arguments.data))
    if (arguments.hear or arguments.listen) and not arguments.name:
        raise Refusal("Which make is to be heard for? Write 'spokenrow plain NAME', and the rest.")
    store = open_store(arguments.data)
    lines = _lines()
    try:
        if trouble and not arguments.hear:
            tell(trouble, flush=True)
        if arguments.name:
            _make(arguments, store, settings, lines, arguments.name)
        else:
            asked = asked_by(arguments).over(settings)
            PlainShelf(
                store,
                asked,
                lines,
                lambda name, over: _make(arguments, store, settings, lines, name, over=over),
                settings_path(arguments.data),
            ).read()
    finally:
        store.close()
    return 0


def _make(
    arguments: argparse.Namespace,
    store: Store,
    settings: Settings,
    lines: Iterator[str],
    name: str,
    *,
    over: bool | None = None,
) -> None:
    """Work on one make until it is laid on the shelf; `over` is None where no shelf was asked."""
    timed = bool(arguments.hear) or arguments.listen or sys.stdin.isatty()
    taken = arguments.take_over or bool(over)
    work = open_work(store, name, settings, take_over=taken, timed=timed)
    if work.in_use:
        how = "with --take-over" if over is None else "with 'take over' and its number"
        raise Refusal(f"{work.in_use.rstrip('.')} {how}.")
    session = Session(
        work, asked_by(arguments).over(settings), lines, settings_path(arguments.data)
    )
    session.greet()
    if arguments.hear:
        session.hear(arguments)
    elif arguments.listen:
        session.listen(arguments)
    else:
        session.read()
    store.release(name)


def _lines() -> Iterator[str]:
    """Lines typed, without their ends. Only a person is shown where to type."""
    if not sys.stdin.isatty():
        if hasattr(sys.stdin, "reconfigure"):
            sys.stdin.reconfigure(errors="replace")
        for line in sys.stdin:
            yield line.rstrip("\r\n")
        return
    while True:
        try:
            yield input("> ")
        except EOFError:
            tell()
            return
