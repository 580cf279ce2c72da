"""What is installed: pinned, hashed, and under terms that are known."""

import re
import tomllib
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from counter.cli.commands.licences import licence
from counter.commandline import main

ROOT = Path(__file__).parents[1]
LOCK = (ROOT / "requirements.lock").read_text(encoding="utf-8")
PINNED = dict(re.findall(r"^([A-Za-z0-9._-]+)==(\S+)", LOCK, re.MULTILINE))
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]


def wanted() -> list[Requirement]:
    found = [Requirement(line) for line in PROJECT["dependencies"]]
    for extra in ("test", "denoise", "voice", "browser", "paper"):
        found += [Requirement(line) for line in EXTRAS.get(extra, ())]
    return [one for one in found if one.name != "spokenrow"]


@pytest.mark.parametrize("requirement", wanted(), ids=str)
def test_the_lock_pins_what_is_declared(requirement: Requirement) -> None:
    pinned = {canonicalize_name(name): version for name, version in PINNED.items()}
    version = pinned.get(canonicalize_name(requirement.name))
    assert version, "make the lock anew: its first lines say how"
    assert requirement.specifier.contains(version, prereleases=True)


def test_every_pin_is_hashed_and_names_no_place() -> None:
    for block in re.split(r"\n(?=[A-Za-z])", LOCK)[1:]:
        assert "--hash=sha256:" in block, block[:60]
    pins = "\n".join(line for line in LOCK.splitlines() if not line.startswith("#"))
    assert not re.search(r"https?:|file:|-url|-links", pins)


def test_the_licences_of_all_that_is_needed_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["licences"]) == 0
    out = capsys.readouterr().out
    # Against the packages' own files: each says the same in its metadata.
    for name in ("textual", "vosk", "pydantic", "sounddevice"):
        line = next(row for row in out.splitlines() if row.startswith(name + " "))
        assert metadata.version(name) in line
    assert next(row for row in out.splitlines() if row.startswith("textual ")).endswith(
        "MIT License"
    )


def test_no_needed_package_is_without_terms_or_under_copyleft_that_binds_us() -> None:
    for line in PROJECT["dependencies"]:
        name = Requirement(line).name
        terms = licence(metadata.distribution(name))
        assert not terms.startswith("not stated"), name
        # The LGPL library is used as it is, from its own package, and may be replaced.
        assert not re.search(r"\bA?GPL", terms), (name, terms)
