"""Every command that repeats text of a make, a pattern, a file's name or an argument."""

import io
import json
import os
import sys
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from counter.commandline import main
from engine.keep.exchange import import_text
from engine.keep.store import Store
from tests.faults.hostile import makes
from tests.faults.hostile.marks import Shown
from tests.faults.hostile.texts import Supply

NAME = "hostile"


def run(*arguments: str, typed: str = "") -> tuple[int, str]:
    """A command's exit code and all that it prints, errors too."""
    out = io.StringIO()
    kept, sys.stdin = sys.stdin, io.StringIO(typed)
    try:
        with redirect_stdout(out), redirect_stderr(out):
            try:
                code = main(arguments)
            except SystemExit as left:
                code = int(left.code or 0)
    finally:
        sys.stdin = kept
    return code, out.getvalue()


def _shown(place: str, said: list[str], *arguments: str, typed: str = "", lines: int = 0) -> Shown:
    code, out = run(*arguments, typed=typed)
    odd = [] if code in {0, 1, 2} else [f"exit code {code}: {out}"]
    if lines and out.count("\n") != lines:
        odd.append(f"{out.count(chr(10))} lines instead of {lines}: {out!r}")
    return Shown(place, out, said, odd=odd)


def commands(folder: Path, texts: Supply) -> Iterator[Shown]:
    """Runs them on a make that is imported into an empty folder, and on a pattern."""
    folder.mkdir(parents=True, exist_ok=True)
    text, said = makes.exported(texts)
    with Store(folder / "makes.db") as store:
        name = import_text(store, text)
        events = len(store.load(name)[1])
    data = ("--data", str(folder))
    title, part, why = said["title"], said["part"], said["step note"]
    yield _shown("log", [said["note"], said["how"], said["why"]], *data, "log", name, lines=events)
    yield _shown("log --json", [], *data, "log", name, "--json")
    note = texts.take().replace("\n", " ").replace("\r", " ")
    yield _shown("plain", [title], *data, "plain", name, typed=f"note {note}\nw\ns\n{note}\n?\n")
    yield _shown("write", [title, part, why], *data, "write", name)
    yield _shown("chart", [title, part], *data, "chart", name)
    yield _shown("repair", [], *data, "repair", name)
    yield _shown("verify", [], *data, "verify")
    yield _shown("size", [], *data, "size", name)
    code, out = run(*data, "export", name)
    read = "\n".join(_strings(json.loads(out)))
    yield Shown("export", out, [title, said["note"]], read, odd=[f"exit code {code}"] * (code != 0))
    colour = texts.take()
    yield _shown("yarn", [], *data, "yarn", name, "--colour", f"throw={colour}")
    lost = texts.take()
    yield _shown("a make that is not there", [], *data, "log", lost, lines=1)
    yield _shown("a wrong argument", [], *data, "rows", "throw", f"--{texts.take()}", lines=1)
    yield _shown("a wrong number", [], *data, "rows", "throw", "--ball", texts.take(), lines=1)
    yield _shown("a wrong gauge", [], *data, "rows", "throw", "--gauge", texts.take(), lines=1)
    yield _shown("a wrong row", [], *data, "check", "--row", texts.take(), "--on", "9")
    yield _shown("a wrong part", [], *data, "chart", name, "--part", texts.take())
    yield _shown("a wrong name", [], *data, "start", "throw", "--name", texts.take(), lines=1)
    yield _shown("a wrong person", [], *data, "rehearse", texts.take(), lines=1)
    yield from _patterns(folder, data, texts)


def _strings(data: object) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict | list):
        for value in data.values() if isinstance(data, dict) else data:
            yield from _strings(value)


def _patterns(folder: Path, data: tuple[str, str], texts: Supply) -> Iterator[Shown]:
    title, part, note = (" ".join(texts.take(60).split()) for _ in range(3))
    path = folder / "pattern.txt"
    pattern = (
        f"Title: {title}\nGauge: 20 x 26\nPart: {part}\nCast on 20 loops.\nNote: {note}.\n"
        "Row 1: knit.\nRow 2: knit.\nBind off all loops.\n"
    )
    path.write_bytes(pattern.encode("utf-8", "ignore"))
    for command in (["check"], ["rows"], ["write"], ["chart"], ["resize", "--gauge", "18 x 24"]):
        first, *more = command
        yield _shown(f"{first} of a pattern", [], *data, first, str(path), *more)
    yield _shown("start of a pattern", [], *data, "start", str(path), lines=1)
    yield _shown("check of a missing file", [], *data, "check", texts.take(), lines=1)
    yield _shown("import of a missing file", [], *data, "import", texts.take(), lines=1)
    odd = (
        os.fsencode(folder)
        + b"/odd"
        + texts.take(40).encode("utf-8", "ignore").replace(b"/", b"").replace(b"\0", b"")
    )
    try:
        Path(os.fsdecode(odd)).write_bytes(pattern.encode("utf-8", "ignore"))
    except OSError:
        return
    yield _shown("a file of an odd name", [], *data, "check", os.fsdecode(odd))
    yield _shown("a make of an odd file", [], *data, "rows", os.fsdecode(odd))
