"""Which reading of a row is meant: the one that comes out, or the one its printed count fits.

Where several come out and leave different numbers of loops, nothing is guessed: the row is at
fault, and the finding tells the readings and what each leaves.
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial

from engine.pattern.count.expand import work
from engine.pattern.count.mending import changed, offered
from engine.pattern.count.readings import Choice, Reading, TooManyReadings, readings
from engine.pattern.count.tally import RowSetting, Tally
from engine.pattern.count.worked import Mend, Misfit, TooMuch, Worked
from engine.pattern.text.numbers import Spot
from engine.pattern.text.row_items import Item

_PLAIN_ROW = RowSetting()
_TOLD_AT_MOST = 3
_REPAIR = "put what repeats in brackets, or the count after the row"


@dataclass(frozen=True)
class _Tried:
    """A reading and what it came to."""

    reading: Reading
    tally: Tally

    @property
    def done(self) -> Worked:
        return self.tally.done

    @property
    def after(self) -> int:
        """Loops there are after it."""
        return self.tally.live - self.done.takes + self.done.leaves

    @property
    def comes_to(self) -> tuple[int, int]:
        """What another reading must come to as well, to be the same: also where it turned."""
        return self.after, self.done.takes if self.done.turned else 0

    @property
    def told(self) -> str:
        """What it comes to, for the maker; what does not come out, with the reason."""
        if not self.done.fits:
            return self.done.misfits[0].what
        loops = f"{self.after} {self.tally.n(self.after)}"
        return f"{loops}, turned after {self.done.takes}" if self.done.turned else loops


def work_row(
    items: Sequence[Item], live: int, size: int, setting: RowSetting = _PLAIN_ROW
) -> tuple[Worked, int, dict[str, int]]:
    """The row worked, the loops that were there for it, and what rests after it.

    Raises TooMuch for a row without end.
    """
    try:
        meant = _read(items, live, size, setting)
    except TooManyReadings:
        told = Misfit(_spot(items), "can be read in more ways than can be tried", _REPAIR)
        return Worked(misfits=[told]), live, dict(setting.rests)
    if not meant.done.sound:
        trial = partial(_comes_out, items=items, live=live, size=size, setting=setting)
        meant.done.misfits[:] = [_mended(m, meant.tally, trial) for m in meant.done.misfits]
    return meant.done, meant.tally.live, meant.tally.rests


def _mended(misfit: Misfit, tally: Tally, trial: Callable[[Mend], bool]) -> Misfit:
    """What does not come out, with those repairs alone with which the row does."""
    good = [way for way in misfit.ways if trial(way)]
    return replace(misfit, repair=offered(tally, good), ways=()) if good else misfit


def _comes_out(
    way: Mend, *, items: Sequence[Item], live: int, size: int, setting: RowSetting
) -> bool:
    other = changed(way, items, size)
    if other is None or live + way.more < 1:
        return False
    try:
        return _read(other, live + way.more, size, setting).done.sound
    except (TooManyReadings, TooMuch):
        return False


def _read(items: Sequence[Item], live: int, size: int, setting: RowSetting) -> _Tried:
    """The reading that is meant, worked. Raises TooMuch and TooManyReadings."""
    tried = _try(readings(items, size, setting.as_row), live, size, setting)
    if not any(t.done.sound for t in tried):
        with suppress(TooManyReadings):
            ways = readings(items, size, setting.as_row, strained=True)
            tried = _try(ways, live, size, setting) if len(ways) > len(tried) else tried
    return _meant(tried) if len(tried) > 1 else tried[0]


def _spot(items: Sequence[Item]) -> Spot:
    return getattr(items[0], "spot", Spot(1, 1)) if items else Spot(1, 1)


def _try(ways: Sequence[Reading], live: int, size: int, setting: RowSetting) -> list[_Tried]:
    """All readings worked, but for those without end. Raises TooMuch where all are."""
    tried = []
    for reading in ways:
        tally = Tally(live, size, setting)
        try:
            work(tally, reading.items)
        except TooMuch:
            continue
        tried.append(_Tried(reading, tally))
    if not tried:
        raise TooMuch
    return tried


def _meant(tried: Sequence[_Tried]) -> _Tried:
    """The reading that the text decides on; the likeliest, at fault, where it does not."""
    sound = [t for t in tried if t.done.sound]
    pool = [t for t in sound if not t.reading.strained] or sound
    if not pool:
        return _none_fits(tried)
    if pool[0].done.claims:
        return pool[0]
    whole = max(_decided(t) for t in pool)
    meant = next(t for t in pool if _decided(t) == whole)
    others = [t for t in pool if t.comes_to != meant.comes_to]
    rivals = [t for t in others if _decided(t) == whole]
    if rivals:
        return _asked(meant, rivals)
    if any(c.wants_count for c in meant.reading.chosen):
        return _asked(meant, [tried[0]])
    if others:
        _warn(meant, others[0], f"else {_difference(others[0], meant)} leaves {others[0].after}")
    elif not tried[0].done.fits:
        _warn(meant, tried[0], "only that comes out")
    return meant


def _none_fits(tried: Sequence[_Tried]) -> _Tried:
    """The likeliest reading where none comes out, with what another one needs told beside it."""
    meant = next((t for t in tried if t.done.fits), tried[0])
    others = (t for t in tried if not t.reading.strained and not t.done.fits and t is not meant)
    other = next((t for t in others if _differing(t, meant) and t.told != meant.told), None)
    if other and meant.done.misfits:
        first = meant.done.misfits[0]
        what = f"{first.what}; if {_difference(other, meant)}, it {other.told}"
        meant.done.misfits[0] = replace(first, what=what)
    return meant


def _decided(tried: _Tried) -> int:
    return sum(c.decides for c in tried.reading.chosen)


def _differing(one: _Tried, other: _Tried) -> list[Choice]:
    """What was chosen in one reading and not in the other."""
    return [c for c in one.reading.chosen if c not in other.reading.chosen]


def _difference(one: _Tried, other: _Tried) -> str:
    return " and ".join(c.told for c in _differing(one, other)) or "the plain reading"


def _asked(meant: _Tried, rivals: Sequence[_Tried]) -> _Tried:
    """All readings are told, with what each leaves or why it does not come out."""
    by_count = list({t.comes_to: t for t in (*rivals, meant)}.values())[::-1][:_TOLD_AT_MOST]
    told = [f"{_difference(t, by_count[i - 1])}: {t.told}" for i, t in enumerate(by_count)]
    what = f"can be read in {len(told)} ways: {'; '.join(told)}"
    meant.done.misfits.append(Misfit(_where(meant, rivals[0]), what, _REPAIR))
    return meant


def _warn(meant: _Tried, other: _Tried, why: str) -> None:
    what = f"is read so that {_difference(meant, other)}; {why}"
    meant.done.misfits.append(Misfit(_where(meant, other), what, _REPAIR, warning=True))


def _where(one: _Tried, other: _Tried) -> Spot:
    choices = _differing(one, other) or _differing(other, one)
    return choices[0].spot if choices else _spot(one.reading.items)
