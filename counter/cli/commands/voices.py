"""`spokenrow voices`: the voice models that are here, and those that can be fetched."""

import argparse
import sys
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn, TimeRemainingColumn

from counter.shared.outward import raw, tell, tell_json
from counter.shared.places import data_folder
from engine.ears import fluency, voices
from engine.ears.recogniser import ModelError, starter_dir
from engine.words.vocabulary import language_name


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("voices", help="list voice models, or fetch a larger one")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)
    actions = parser.add_subparsers(metavar="fetch NAME")
    fetching = actions.add_parser("fetch", help="get a model from its makers")
    fetching.add_argument("name", help=f"one of: {', '.join(v.name for v in voices.CATALOGUE)}")
    fetching.set_defaults(handler=run_fetch)


def run(arguments: argparse.Namespace) -> int:
    """List them."""
    data = data_folder(arguments.data)
    here = [
        (_name(path), path, _spoken_by(path))
        for path in fluency.models(data)
        if voices.is_model(path)
    ]
    missing = [known for known in voices.CATALOGUE if not voices.find(data, known.name)]
    if arguments.json:
        rows = {
            "installed": [
                {"name": name, "folder": str(path), "languages": spoken}
                for name, path, spoken in here
            ],
            "to_fetch": [known.model_dump() for known in missing],
        }
        tell_json(rows)
        return 0
    tell("Installed:")
    for name, path, spoken in here:
        names = ", ".join(map(language_name, spoken)) or "none of our languages"
        tell(f"  {name:30} {path}  ({names})")
    if missing:
        tell("To fetch, with 'spokenrow voices fetch NAME':")
    for known in missing:
        tell(f"  {known.name:30} {known.title}, {known.licence}")
    tell("Any other Vosk model is used with --model FOLDER.")
    return 0


def _name(path: Path) -> str:
    """The folder's name; a package's model is called after the package."""
    if path == starter_dir():
        return "built in"
    return path.parent.name if path in voices.packaged() else path.name


def _spoken_by(folder: Path) -> list[str]:
    """The languages of a model; none where its word list cannot be read, as doctor tells."""
    try:
        return fluency.spoken_by(folder)
    except ModelError:
        return []


def run_fetch(arguments: argparse.Namespace) -> int:
    """Fetch one, with a bar where there is a terminal."""
    wanted = voices.voice(arguments.name)
    data = data_folder(arguments.data)
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        DownloadColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(file=raw(sys.stderr))) as bar:
        task = bar.add_task(wanted.folder, total=wanted.size)
        folder = voices.fetch(wanted, data, lambda here, _all: bar.update(task, completed=here))
        bar.update(task, completed=wanted.size)
    tell(f"The voice {wanted.name} is in {folder}. Use it with --model '{folder}'.")
    return 0
