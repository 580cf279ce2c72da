"""The journal on disk: makes and their events, one folder for all of them.

An action is on disk when `append` returns: in the main file, by write-ahead logging with
synchronous FULL, and in the make's copy. What else keeps a row from being lost is told in
`engine.keep.journal`. Opening looks for damage, mends what it finds and says so in `health`.

One program at a time writes to a make. `open_for_writing` claims it; the first `append` does so
by itself. The claim stands in the main file and every append checks it in its own transaction,
so that two windows can never interleave, whatever happened to locks, clocks and processes.
"""

import contextlib
import re
import sqlite3
import time
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

from pydantic import ValidationError
from pydantic_core import PydanticSerializationError

from engine.base.files import set_aside
from engine.base.refusal import Refusal
from engine.keep.journal import chain, copy, owner, rescue, trouble
from engine.keep.journal.chain import Chain, Head
from engine.keep.journal.opening import open_main
from engine.keep.journal.owner import Owner
from engine.keep.moving.move import Bare, move
from engine.plan import planning
from models.event import EVENT, LATEST, Event
from models.plan import Begun, Plan

LONGEST_EVENT = 100_000
"""Characters of one event, and of a plan, on disk."""
LONGEST_SCRIPT = 16 * 2**20
"""Characters of a script in its kept form: 20,000 steps that have nothing in common are shorter."""
LONGEST_NAME = 80


class InUse(Refusal):
    """Another window has the make open for writing. It can be taken over on request."""


class TakenOver(Refusal):
    """This window's make was taken over by another: it can look on, or take it back."""


class Unreadable(Refusal):
    """A make on disk that cannot be read; says why and what can be done. Others are not touched."""


def unreadable(name: str, why: str) -> Unreadable:
    """That a make cannot be read, for a reason that may be a sentence of its own."""
    return Unreadable(
        f"The make {name!r} cannot be read: {why.rstrip('.')}. 'spokenrow restore {name}' shows "
        "what can be brought back of it, beside it; nothing was changed."
    )


@dataclass
class _Held:
    """A make that this store writes to."""

    make: int
    head: str
    seq: int
    digest: str
    copy: Path
    size: int
    """Bytes of the copy."""


class Store:
    """All makes of one data folder. Raises Refusal for what the maker can mend.

    Belongs to the thread that made it, as SQLite's connections do.
    """

    def __init__(self, path: Path) -> None:
        """Open the main file at `path`, making it and its folder where there is none.

        Damage is mended and told in `health`. Where the folder cannot be written but holds makes,
        they can be looked at: see `read_only`. Raises Refusal where there is nothing to open, or
        the file was written by a newer version.
        """
        self._path = path
        self._data = path.parent
        self._me = owner.myself()
        self._held: dict[str, _Held] = {}
        self._seen: dict[str, int] = {}
        self._opened = open_main(path, self._me)
        self._db = self._opened.db

    @property
    def health(self) -> tuple[str, ...]:
        """What opening found and did, a sentence each; empty when all was well."""
        return self._opened.health

    @property
    def read_only(self) -> str:
        """Why nothing can be written, in one sentence; empty where it can."""
        return self._opened.read_only

    @property
    def folder(self) -> Path:
        """The data folder."""
        return self._data

    def close(self) -> None:
        """Give back every claim and close the file."""
        with contextlib.suppress(sqlite3.Error):
            if self._held:
                self._db.execute("DELETE FROM claim WHERE token = ?", (self._me.token,))
        self._held.clear()
        self._db.close()
        if self._opened.sole:
            self._opened.sole.unlink(missing_ok=True)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    # --- reading --------------------------------------------------------------------------

    def names(self) -> list[str]:
        """Names of all makes, the last touched first."""
        return [name for (name,) in self._db.execute("SELECT name FROM make ORDER BY touched DESC")]

    def free_name(self, title: str) -> str:
        """A short name made from a title that no other make has."""
        # `Jäckchen` is jackchen: a letter loses its accent, and is not lost itself; ½ is none.
        letters = "".join(
            unicodedata.normalize("NFKD", sign) if sign.isalpha() else sign
            for sign in title.casefold()
        )
        bare = "".join(letter for letter in letters if not unicodedata.combining(letter))
        base = re.sub(r"[^a-z0-9]+", "-", bare)[: LONGEST_NAME - 10].strip("-") or "make"
        taken, name, count = set(self.names()), base, 1
        while name in taken:
            count += 1
            name = f"{base}-{count}"
        return name

    def load(self, name: str) -> tuple[Begun, list[Event]]:
        """How a make began and its events in order. Raises Refusal for an unknown name."""
        made = self.chain(name)
        self._seen[name] = len(made.bodies)
        head = chain.read_head(made.head)
        assert head is not None
        script, bodies = head.script, made.bodies
        if script is None:
            # Opening moves it over, but where nothing can be written, or it cannot be worked out.
            (moved,) = move([Bare(head.plan, None, bodies)])
            if isinstance(moved, Refusal):
                raise unreadable(name, f"it was begun by an earlier release; {moved}")
            script, bodies = moved.script, moved.bodies
        what, read = "its plan", []
        try:
            begun = Begun(plan=Plan.model_validate_json(head.plan), script=script)
            for number, body in enumerate(bodies, 1):
                what = f"its event {number}"
                read.append(EVENT.validate_json(body))
        except ValidationError as error:
            raise unreadable(name, _why(what, error)) from error
        return begun, read

    def chain(self, name: str) -> Chain:
        """A make as it was written. Raises Refusal for an unknown name."""
        make, head = self._make(name)
        rows = self._db.execute("SELECT body FROM event WHERE make = ? ORDER BY seq", (make,))
        return Chain(name, chain.write_head(head), tuple(body for (body,) in rows))

    def copy_of(self, name: str) -> tuple[Chain | None, bool]:
        """The sound beginning of a make's journal copy, and whether that is all of it."""
        made, lines = copy.read(copy.place(self._data, name))
        return made, copy.whole(made, lines)

    def digests(self, name: str) -> list[str]:
        """The digest of each line of a make, as the main file has them, the head's first."""
        make, _ = self._make(name)
        (first,) = self._db.execute("SELECT digest FROM make WHERE id = ?", (make,)).fetchone()
        rows = self._db.execute("SELECT digest FROM event WHERE make = ? ORDER BY seq", (make,))
        return [first, *(digest for (digest,) in rows)]

    def created(self, name: str) -> float:
        """When a make was begun, POSIX seconds; the nearest that a clock shows."""
        return min(max(self._make(name)[1].created, 0.0), LATEST)

    def extra(self, name: str) -> str | None:
        """Fields of the file a make was imported from that this version does not know, as JSON."""
        return self._make(name)[1].extra

    def holder(self, name: str) -> Owner | None:
        """The other program that has a make open for writing; None where none has."""
        row = self._db.execute(
            "SELECT owner FROM claim WHERE make = ?", (self._make(name)[0],)
        ).fetchone()
        if row is None:
            return None
        try:
            other = Owner.model_validate_json(row[0])
        except ValueError:
            return None  # nobody's, and whoever it was is told when another writes
        return None if other.token == self._me.token or not owner.runs(other) else other

    # --- writing --------------------------------------------------------------------------

    def create(
        self,
        name: str,
        make: Plan | Begun,
        events: Sequence[Event] = (),
        *,
        extra: str | None = None,
        created: float | None = None,
    ) -> None:
        """Begin a make, with what already happened in it. All or nothing.

        `make` is a plan, to be worked out now, or how the make began elsewhere.

        `extra` holds unknown fields of an imported file as JSON, `created` POSIX seconds.

        Raises Refusal where the name is taken or unusable, the plan has no sound script, or
        nothing can be written.
        """
        _usable(name)
        begun = planning.begun(make) if isinstance(make, Plan) else make
        when = time.time() if created is None else created
        head = Head(name, _json(begun.plan), when, extra, begun.script)
        self._add(head, tuple(_json(event) for event in events))

    def put_back(self, made: Chain, name: str) -> None:
        """Put lines that were found somewhere on the shelf, under a name of their own.

        Raises Refusal where the name is taken or unusable, or nothing can be written.
        """
        head = chain.read_head(made.head)
        assert head is not None
        self._add(head._replace(name=_usable(name)), made.bodies)

    def remove(self, name: str) -> None:
        """Take a make out of the main file; its copy is set aside, so `restore` knows it still.

        Raises InUse where another program has it, Refusal where nothing can be written.
        """
        make, _ = self._make(name)
        self.release(name)
        place = copy.place(self._data, name)
        try:
            with self._transaction():
                if other := self.holder(name):
                    raise InUse(f"The make {name!r} is open in {other.told()}: close it there.")
                self._mended_copy(name, place)
                for table, key in (("claim", "make"), ("event", "make"), ("make", "id")):
                    self._db.execute(f"DELETE FROM {table} WHERE {key} = ?", (make,))
                set_aside(place, rescue.place_aside(self._data))
        except (OSError, sqlite3.Error) as error:
            raise self._unwritten(error, "the make was not taken off") from error
        self._seen.pop(name, None)

    def _add(self, head: Head, bodies: tuple[str, ...]) -> None:
        name = head.name
        made = Chain(name, chain.write_head(head), bodies)
        place = copy.place(self._data, name)
        ours = False
        try:
            with self._transaction():
                rescue.add(self._db, made)
                if place.exists():
                    set_aside(place, rescue.place_aside(self._data))
                ours = True
                copy.rewrite(place, made)
        except sqlite3.IntegrityError:
            raise Refusal(f"A make is already called {name!r}: choose another name.") from None
        except (OSError, sqlite3.Error) as error:
            if ours:
                with contextlib.suppress(OSError):
                    place.unlink(missing_ok=True)
            raise self._unwritten(error, "the make was not begun") from error

    def open_for_writing(self, name: str, *, take_over: bool = False) -> None:
        """Claim a make; once claimed, again does nothing.

        Raises InUse where another program has it, unless `take_over` is set: then the other can
        write no more. Raises Refusal where the make moved on since this store loaded it.
        """
        make, head = self._make(name)
        try:
            with self._transaction():
                other = self.holder(name)
                if other and not take_over:
                    raise InUse(
                        f"The make {name!r} is open in {other.told()}: close it there, or take "
                        "it over here."
                    )
                digests = self.digests(name)
                seq = len(digests) - 1
                if self._seen.setdefault(name, seq) != seq:
                    del self._seen[name]
                    raise Refusal(
                        f"The make {name!r} went on in another window since it was opened here: "
                        "open it again."
                    )
                self._db.execute(
                    "INSERT OR REPLACE INTO claim (make, token, owner) VALUES (?, ?, ?)",
                    (make, self._me.token, self._me.model_dump_json()),
                )
                place = copy.place(self._data, name)
                line = chain.write_head(head)
                held = _Held(make, line, seq, digests[-1], place, self._mended_copy(name, place))
        except (OSError, sqlite3.Error) as error:
            raise self._unwritten(error, f"the make {name!r} cannot be worked on") from error
        self._held[name] = held

    def append(self, name: str, events: Sequence[Event]) -> None:
        """Write events down, all or none; they are on disk when this returns.

        Raises Refusal, and then nothing is written: InUse and TakenOver where another window has
        the make, else where the disk is full, read-only or failing.
        """
        bodies = [_json(event) for event in events]
        if name not in self._held:
            self.open_for_writing(name)
        held = self._held[name]
        sealed = chain.numbered(bodies, held.seq, held.digest)
        if not sealed:
            return
        size = held.size
        try:
            with self._transaction():
                self._check_claim(name, held)
                rescue.insert(self._db, held.make, sealed)
                if not held.copy.exists() or held.copy.stat().st_size != held.size:
                    size = self._mended_copy(name, held.copy)
                else:
                    lines = [(digest, body) for _, digest, body in sealed]
                    size = copy.append(held.copy, lines, held.size)
        except (OSError, sqlite3.Error) as error:
            if size != held.size:
                # The copy was written, the main file was not: neither counts it.
                with contextlib.suppress(OSError):
                    copy.cut(held.copy, held.size)
            raise self._unwritten(error, "this was not counted") from error
        held.seq, held.digest, held.size = sealed[-1][0], sealed[-1][1], size
        self._seen[name] = held.seq

    def release(self, name: str) -> None:
        """Give back the claim on a make, if this store has it."""
        held = self._held.pop(name, None)
        if held:
            with contextlib.suppress(sqlite3.Error):
                self._db.execute(
                    "DELETE FROM claim WHERE make = ? AND token = ?", (held.make, self._me.token)
                )

    # --- inside ---------------------------------------------------------------------------

    def _make(self, name: str) -> tuple[int, Head]:
        row = self._db.execute(
            "SELECT id, name, plan, created, extra, script FROM make WHERE name = ?",
            (trouble.plain(name),),
        ).fetchone()
        if row is None:
            known = ", ".join(self.names()) or "none yet"
            raise Refusal(f"There is no make called {trouble.plain(name)!r}; there are: {known}.")
        return int(row[0]), Head(*row[1:])

    @contextlib.contextmanager
    def _transaction(self) -> Iterator[None]:
        if self.read_only:
            raise Refusal(self.read_only)
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
            raise

    def _check_claim(self, name: str, held: _Held) -> None:
        if not self._is_our_file():
            raise Refusal(
                f"{self._path} was moved or replaced while it was open, so this was not counted: "
                "close spokenrow and open it again; nothing that was counted before is lost."
            )
        row = self._db.execute("SELECT token FROM claim WHERE make = ?", (held.make,)).fetchone()
        if row is None or row[0] != self._me.token:
            del self._held[name]
            raise TakenOver(
                f"The make {name!r} was taken over by another window: this one can only look on; "
                "open the make again to go on here."
            )

    def _is_our_file(self) -> bool:
        """Whether the main file is still the one that was opened: a rescue moves it away."""
        try:
            now = self._path.stat()
        except OSError:
            return False
        return (now.st_dev, now.st_ino) == self._opened.identity

    def _mended_copy(self, name: str, place: Path) -> int:
        """Make a copy what the main file says, if it is not; gives its size."""
        made = self.chain(name)
        content = copy.render([made.head, *made.bodies])
        with contextlib.suppress(OSError):
            if place.stat().st_size == len(content) and place.read_bytes() == content:
                return len(content)
        return copy.rewrite(place, made)

    def _unwritten(self, error: OSError | sqlite3.Error, what: str) -> Refusal:
        why = trouble.why(error)
        if why == "full":
            return Refusal(
                f"The disk of {self._data} is full, so {what}: free some space and do it again; "
                "nothing that was counted before is lost."
            )
        if why == "busy":
            return Refusal(
                f"Another program holds {self._path}, so {what}: close it and do it again."
            )
        return Refusal(
            f"{self._path} cannot be written ({why}), so {what}: see to the folder, or name "
            "another with --data; nothing that was counted before is lost."
        )


def _usable(name: str) -> str:
    """That name, where a make can be called so. Raises Refusal where it cannot."""
    if not 0 < len(name) <= LONGEST_NAME or not name.isprintable() or name != name.strip():
        raise Refusal(
            f"A make cannot be called {name[:LONGEST_NAME]!r}: give 1 to {LONGEST_NAME} "
            "letters without line breaks."
        )
    return name


def _json(value: Plan | Event) -> str:
    """A model as JSON that reads back the same. Raises Refusal where it would not."""
    try:
        text = value.model_dump_json()
        same = type(value).model_validate_json(text) == value
    except (PydanticSerializationError, ValidationError):
        same, text = False, ""
    if not same:
        raise Refusal(
            "This holds a letter or a number that cannot be written down: type it again without."
        )
    kept = getattr(value, "tail", None) or ""
    if len(text) - len(kept) > LONGEST_EVENT or len(kept) > LONGEST_SCRIPT:
        raise Refusal(f"This is too long to keep: write at most {LONGEST_EVENT} letters.")
    return text


def _why(what: str, error: ValidationError) -> str:
    one = error.errors(include_url=False)[0]
    if one["type"] == "union_tag_invalid":
        kind = str(one["ctx"]["tag"])[:40]
        return (
            f"{what} is of a kind that is not known here ({kind!r}): install the newest spokenrow"
        )
    where = ".".join(map(str, one["loc"]))[:80]
    told = f"{what} is not what it should be ({f'{where}: ' if where else ''}{one['msg'][:120]})"
    if one["type"] == "extra_forbidden":
        return f"{told}: install the newest spokenrow"
    return told
