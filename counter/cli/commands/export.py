"""`spokenrow export NAME FILE`: a make as open JSON."""

import argparse
import json
import sys
from pathlib import Path

from counter.cli.output import add_overwrite_argument, write
from counter.shared.outward import tell
from counter.shared.places import open_store
from engine.base.refusal import Refusal
from engine.keep.exchange import export_text
from models.exchange import schema


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("export", help="write a make to a JSON file")
    parser.add_argument("name", nargs="?", help="the make")
    parser.add_argument("file", nargs="?", help="the file; '-' or none prints it", default="-")
    add_overwrite_argument(parser)
    parser.add_argument("--schema", action="store_true", help="print the format's JSON schema")
    parser.set_defaults(handler=run)


def schema_text() -> str:
    """The format's schema as it is published."""
    return json.dumps(schema(), indent=1, ensure_ascii=False) + "\n"


def run(arguments: argparse.Namespace) -> int:
    """Write the file."""
    if arguments.schema:
        sys.stdout.write(schema_text())
        return 0
    if arguments.name is None:
        raise Refusal("Which make? Write 'spokenrow export NAME FILE'.")
    with open_store(arguments.data) as store:
        text = export_text(store, arguments.name)
    if arguments.file == "-":
        sys.stdout.write(text)
        return 0
    path = Path(arguments.file)
    write(path, text, overwrite=arguments.overwrite)
    tell(f"{arguments.name} is in {path}.")
    return 0
