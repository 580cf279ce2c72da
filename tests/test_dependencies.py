"""What is installed: pinned, hashed, for every system, and under terms that are known."""

import re
import tomllib
from functools import cache
from importlib import metadata
from itertools import product
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name

from counter.cli.commands.licences import licence
from counter.commandline import main
from tests.install.systems import PYTHONS, SYSTEMS, environment

ROOT = Path(__file__).parents[1]
LOCK = (ROOT / "requirements.lock").read_text(encoding="utf-8")
PINS = [
    Requirement(line.removesuffix("\\"))
    for line in LOCK.splitlines()
    if re.match(r"[A-Za-z0-9]", line)
]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]
EVERYWHERE = list(product(SYSTEMS, PYTHONS))


def wanted() -> list[Requirement]:
    found = [Requirement(line) for line in PROJECT["dependencies"]]
    for extra in ("test", "denoise", "voice", "browser", "paper", "pdf"):
        found += [Requirement(line) for line in EXTRAS.get(extra, ())]
    return [one for one in found if one.name != "spokenrow"]


def holds(requirement: Requirement, where: dict[str, str]) -> bool:
    return requirement.marker is None or requirement.marker.evaluate(where)


@cache
def pinned(system: str, python: str) -> dict[str, str]:
    """Name → version of what the lock installs there: one version of each."""
    where = environment(system, python)
    found: dict[str, str] = {}
    for pin in PINS:
        if holds(pin, where):
            name = canonicalize_name(pin.name)
            assert name not in found, (name, system, python)
            (found[name],) = (one.version for one in pin.specifier)
    return found


@pytest.mark.parametrize("requirement", wanted(), ids=str)
def test_the_lock_pins_what_is_declared(requirement: Requirement) -> None:
    for system, python in EVERYWHERE:
        where = environment(system, python)
        if not holds(requirement, where):
            continue
        version = pinned(system, python).get(canonicalize_name(requirement.name))
        assert version, "make the lock anew: its first lines say how"
        assert requirement.specifier.contains(version, prereleases=True)


@cache
def needs() -> list[tuple[str, str, SpecifierSet, list[Requirement]]]:
    """Name, version, Pythons and needs, by their own metadata, of what is installed as locked."""
    locked = {canonicalize_name(pin.name) for pin in PINS}
    return [
        (
            canonicalize_name(one.name),
            one.version,
            SpecifierSet(one.metadata.get("Requires-Python") or ""),
            [Requirement(line) for line in one.requires or () if "extra ==" not in line],
        )
        for one in metadata.distributions()
        if canonicalize_name(one.name) in locked
    ]


@pytest.mark.parametrize(("system", "python"), EVERYWHERE)
def test_the_lock_pins_all_that_its_packages_need(system: str, python: str) -> None:
    where = environment(system, python)
    versions = pinned(system, python)
    looked_at = 0
    for name, version, pythons, needed in needs():
        if versions.get(name) != version:
            continue
        looked_at += 1
        assert pythons.contains(f"{python}.9"), name
        for need in needed:
            if holds(need, where):
                have = versions.get(canonicalize_name(need.name))
                assert have, f"{name} needs {need}"
                assert need.specifier.contains(have, prereleases=True), f"{name} needs {need}"
    assert looked_at > 10


def test_every_bound_has_two_sides() -> None:
    """What the program itself needs: a next major release may break it, and an older one does."""
    for line in [*PROJECT["dependencies"], *EXTRAS["browser"], *EXTRAS["paper"], *EXTRAS["pdf"]]:
        operators = {one.operator for one in Requirement(line).specifier}
        assert operators == {">=", "<"}, line


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
