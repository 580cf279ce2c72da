"""Which backups are kept."""

from datetime import date, timedelta
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from engine.keep.journal import backups
from engine.keep.store import Store

DAYS = st.sets(st.dates(date(2020, 1, 1), date(2035, 1, 1)), max_size=60)


@given(DAYS)
def test_few_are_kept_and_the_newest_always(days: set[date]) -> None:
    kept = backups.kept(days)
    assert kept <= days
    assert len(kept) <= backups.DAYS + backups.WEEKS + backups.MONTHS
    assert set(sorted(days)[-backups.DAYS :]) <= kept


@given(st.integers(1, 900))
def test_after_many_days_old_ones_are_still_there(count: int) -> None:
    kept: set[date] = set()
    first = date(2024, 1, 1)
    for n in range(count):
        kept = backups.kept({*kept, first + timedelta(n)})
    last = first + timedelta(count - 1)
    months = (last.year - first.year) * 12 + last.month - first.month + 1
    assert len({(day.year, day.month) for day in kept}) == min(months, backups.MONTHS)


def test_thinning_out_touches_nothing_else(data: Path) -> None:
    folder, content = backups.folder(data), (data / "makes.db").read_bytes()
    for n in range(1, 29):
        (folder / f"makes-2020-01-{n:02}.db").write_bytes(content)
    (folder / "makes-mine.db").write_bytes(content)  # kept by hand
    with Store(data / "makes.db") as store:
        backups.daily(store._db, data, date(2020, 2, 1))
    names = {path.name for path in folder.iterdir()}
    assert {"makes-mine.db", "makes-2020-02-01.db", "makes-2020-01-28.db"} <= names
    assert "makes-2020-01-02.db" not in names


def test_a_clock_that_jumps_back_years_still_gets_its_backup(data: Path) -> None:
    with Store(data / "makes.db") as store:
        for n in range(1, 20):
            backups.daily(store._db, data, date(2099, 1, n))
        backups.daily(store._db, data, date(2001, 1, 1))
    assert (backups.folder(data) / "makes-2001-01-01.db").exists()
