"""`spokenrow licences`: whose work this stands on, and under which terms."""

import argparse
import re
from importlib import metadata

from counter.shared.outward import tell, tell_json

_NAME = re.compile(r"^[A-Za-z0-9._-]+")


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("licences", help="list the licences of all that is installed")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the packages that spokenrow needs, one a line."""
    rows = [
        {"package": found.name, "version": found.version, "licence": licence(found)}
        for found in needed()
    ]
    if arguments.json:
        tell_json(rows)
        return 0
    for row in rows:
        tell(f"{row['package']:22} {row['version']:12} {row['licence']}")
    return 0


def needed(root: str = "spokenrow") -> list[metadata.Distribution]:
    """The installed packages that one needs, itself first, the rest by name.

    Of optional ones, those that are here.
    """
    found: dict[str, metadata.Distribution] = {}
    wanted = [root]
    while wanted:
        name = _plain(wanted.pop())
        if name in found:
            continue
        try:
            found[name] = metadata.distribution(name)
        except metadata.PackageNotFoundError:
            continue  # for another system, or an extra that was not asked for
        for requirement in found[name].requires or ():
            if name == _plain(root) or "extra ==" not in requirement:
                match = _NAME.match(requirement)
                wanted += [match[0]] if match else []
    first = found.pop(_plain(root), None)
    rest = sorted(found.values(), key=lambda one: one.name.lower())
    return [first, *rest] if first else rest


def licence(found: metadata.Distribution) -> str:
    """What a package says of its terms, in a few words."""
    said = found.metadata
    if "License-Expression" in said:
        return said["License-Expression"]
    classified = [
        text.rpartition(" :: ")[2]
        for text in said.get_all("Classifier") or ()
        if text.startswith("License ::") and not text.endswith(":: OSI Approved")
    ]
    if classified:
        return ", ".join(classified)
    # Some put the whole text there; its first line names it.
    lines = said["License"].strip().splitlines() if "License" in said else []
    return lines[0][:60] if lines else "not stated; see its own files"


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()
