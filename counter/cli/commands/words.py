"""`spokenrow words`: the one table of actions, keys and phrases."""

import argparse

from counter.cli.arguments import add_language_argument
from counter.shared.outward import tell, tell_json
from counter.shared.settings import load, settings_path
from engine.words.vocabulary import page_words, words


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("words", help="list the words and keys, from the one table")
    add_language_argument(parser)
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the table."""
    language = arguments.language or load(settings_path(arguments.data))[0].language
    table, pages = words(language), page_words(language)
    if arguments.json:
        rows: list[dict[str, object]] = [
            {
                "action": line.action.value,
                "keys": line.keys,
                "phrases": line.phrases,
                "confirm": line.confirm,
            }
            for line in table
        ]
        rows += [
            {"page": line.page.value, "keys": (), "phrases": line.phrases, "confirm": False}
            for line in pages
        ]
        tell_json(rows)
        return 0
    for line in table:
        said = ", ".join(f"“{phrase}”" for phrase in line.phrases) or "(typed)"
        asks = "  (asks first)" if line.confirm else ""
        tell(f"{', '.join(line.keys):18} {said}")
        tell(f"{'':18} {line.meaning}{asks}")
    for turned in pages:
        tell(f"{'':18} {', '.join(f'“{phrase}”' for phrase in turned.phrases)}")
        tell(f"{'':18} {turned.meaning}")
    return 0
