"""`spokenrow import FILE`: an exported make back in."""

import argparse
import sys
from pathlib import Path

from counter.shared.outward import tell, warn
from counter.shared.places import open_store
from engine.base.patient import read_patiently
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.keep.exchange import LARGEST, import_text, read_file


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("import", help="take in a make that was exported")
    parser.add_argument("file", help="the file; '-' reads standard input")
    parser.add_argument("--name", help="call it this instead of what the file says")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Check the file from the first loop to the last, and keep it."""
    text = _standard_input() if arguments.file == "-" else read_file(Path(arguments.file))
    with open_store(arguments.data) as store:
        name = import_text(store, text, arguments.name)
        count = len(store.load(name)[1])
    tell(f"{name} is here, with {some(count, 'event')}.")
    return 0


def _standard_input() -> str:
    content = read_patiently(sys.stdin.fileno(), LARGEST + 1, tell=warn)
    if len(content) > LARGEST:
        raise Refusal(f"What was given is larger than {LARGEST // 2**20} MB, which no make is.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refusal("What was given is not an exported make: it is not UTF-8.") from error
