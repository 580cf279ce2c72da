"""The lines of one size: rows drawn together where they repeat, and the steps between them."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from engine.pattern.writing.row_words import row_words
from engine.pattern.writing.words import Line, Words, begun, joined, num, with_numbers
from engine.script.builder import mirrored
from engine.script.explaining import for_the_other_hand
from engine.script.wording import kind_word
from models.script import Craft, Direction, Hand, Kind, RowScript, Step

_LONGEST_REPEAT = 8
"""Rows in a repeat: a longer one is easier to follow written out."""
_NOTED = frozenset({Kind.BACK_CHECK, Kind.FIT_CHECK, Kind.MEASURE, Kind.FINISH})
"""Steps that the reader gives a note where the pattern has none."""


def _direction(step: Step, hand: Hand) -> Direction | None:
    """As for a right-handed maker, which is how a pattern is written."""
    if step.direction is None or hand is Hand.RIGHT:
        return step.direction
    return step.direction.back


def _for_the_right_hand(step: Step, hand: Hand) -> Step:
    """Its edges, crossings and notes as for a right-handed maker, which is how a pattern is
    written."""
    if hand is Hand.RIGHT:
        return step
    operations = tuple(map(mirrored, step.operations))
    note = for_the_other_hand(step.note)
    return step.model_copy(update={"operations": operations, "note": note})


class _Way:
    """Side and direction that the next row of a part has where the pattern does not say."""

    def __init__(self, craft: Craft, hand: Hand) -> None:
        self.craft, self.hand = craft, hand
        self._side = "RS"
        self._going = Direction.RIGHT_TO_LEFT

    def marks(self, step: Step) -> str:
        """Side and direction of a row in brackets, as far as they are not the usual ones."""
        direction = _direction(step, self.hand)
        if step.kind is Kind.ROUND:
            return _in_brackets(step.side, None, direction, Direction.AROUND)
        if self.craft is Craft.NEEDLES:
            side, self._side = self._side, "RS" if step.side in {None, "WS"} else "WS"
            return _in_brackets(step.side, side, direction, Direction.RIGHT_TO_LEFT)
        usual, going = self._going, direction or self._going
        self._going = going.back
        return _in_brackets(step.side, None, direction, usual)


def _in_brackets(
    side: str | None, usual_side: str | None, going: Direction | None, usual: Direction | None
) -> str:
    said = []
    if side != usual_side:
        said.append(side or "no side")
    if going != usual:
        said.append(going.value if going else "either way")
    return f" ({', '.join(said)})" if said else ""


@dataclass(frozen=True)
class _Row:
    """A row as it is written, without its number."""

    words: Words
    marks: str
    note: str
    kind: Kind

    def repeats(self, other: "_Row") -> bool:
        """Whether it can be said by repeating the other one: nothing of it is unusual."""
        return not self.marks and (self.words, self.note, self.kind) == (
            other.words,
            other.note,
            other.kind,
        )


def _row_lines(steps: Sequence[Step], craft: Craft, way: _Way, usual: Words) -> Iterator[Line]:
    """Rows that follow one another, what repeats drawn together; `usual` is what most rows of the
    part are."""
    rows = [_Row(begun(row_words(s, craft)), way.marks(s), s.note, s.kind) for s in steps]
    numbers = [s.row or 0 for s in steps]
    at = 0
    while at < len(rows):
        end = _two_kinds(rows, at)
        plainly = list(_in_repeats(rows[at:end], numbers[at:end]))
        listed = list(_in_a_list(rows[at:end], numbers[at:end], usual))
        yield from listed if listed and len(listed) < len(plainly) else plainly
        at = end


def _usual(rows: Sequence[Step], craft: Craft) -> Words:
    """What most rows of a part are."""
    return Counter(begun(row_words(step, craft)) for step in rows).most_common(1)[0][0]


def _two_kinds(rows: Sequence[_Row], at: int) -> int:
    """The end of a stretch in which rows are of two kinds, with nothing to say of one alone; of
    the others before it, where none begins here."""
    kinds: set[Words] = set()
    for end in range(at, len(rows)):
        row = rows[end]
        alone = bool(row.note or row.marks)
        if end > at and (alone or row.kind is not rows[at].kind or len(kinds | {row.words}) > 2):
            return end
        if alone:
            return end + 1
        kinds.add(row.words)
    return len(rows)


def _in_a_list(rows: Sequence[_Row], numbers: Sequence[int], usual: Words) -> Iterator[Line]:
    """Rows of two kinds, one by their numbers and the part's usual one as what lies between;
    nothing where there are not these two."""
    words = [row.words for row in rows]
    unusual = set(words) - {usual}
    if len(unusual) != 1 or usual not in words or len(words) - words.count(usual) < 2:
        return
    (few,) = unusual
    first, last = words.index(few), len(words) - words[::-1].index(few)
    if first:
        yield _labelled(rows[0], numbers[0], numbers[first - 1])
    word = "Rnds" if rows[0].kind is Kind.ROUND else "Rows"
    *others, final = [str(n) for n, said in zip(numbers, words, strict=True) if said == few]
    yield Line((f"{word} {', '.join(others)} and {final}: ", *few, "."))
    if last - first > words.count(few):
        yield Line((f"{word} between: ", *usual, "."))
    if last < len(words):
        yield _labelled(rows[last], numbers[last], numbers[-1])


def _in_repeats(rows: Sequence[_Row], numbers: Sequence[int]) -> Iterator[Line]:
    """Rows as they follow each other, again and again where they do."""
    at = 0
    while at < len(rows):
        period, times = _repeat_at(rows, at)
        if period == 1:
            yield _labelled(rows[at], numbers[at], numbers[at + times - 1])
            yield from _note(rows[at].note)
        else:
            for index in range(at, at + period):
                yield _labelled(rows[index], numbers[index], numbers[index])
            first, last = numbers[at], numbers[at + period - 1]
            word = "rnds" if rows[at].kind is Kind.ROUND else "rows"
            more = num(times - 1)
            yield Line((f"Rep {word} ", num(first), "–", num(last), " ", more, " times more."))
        at += period * times


def _repeat_at(rows: Sequence[_Row], at: int) -> tuple[int, int]:
    """Period and times of what repeats here; once, with period 1, where nothing does."""
    best = (1, 1)
    if rows[at].marks and rows[at + 1 : at + 2] and rows[at + 1].repeats(rows[at]):
        return best  # its side or direction is said of it alone: the next row comes back
    for period in range(1, _LONGEST_REPEAT + 1):
        unit = rows[at : at + period]
        if len(unit) < period or any(row.note for row in unit):
            break
        if any(row.marks for row in unit[1:]):
            break
        end = at + period
        while end < len(rows) and rows[end].repeats(rows[end - period]):
            end += 1
        times = (end - at) // period
        if times > 1 and period * times > best[0] * best[1]:
            best = (period, times)
            if period == 1:
                break
    return best


def _labelled(row: _Row, first: int, last: int) -> Line:
    word = "Rnds " if row.kind is Kind.ROUND else "Rows "
    marked = f"{row.marks}: "
    words = (word, num(first), "–", num(last), *joined([(marked, *row.words, ".")]))
    return Line(words, spans=True)


def _note(note: str) -> Iterator[Line]:
    if note:
        yield Line(with_numbers(note), note=True)


def _step_lines(step: Step, craft: Craft, hand: Hand) -> Iterator[Line]:
    """A step that is no row."""
    usual = Direction.LEFT_TO_RIGHT if step.kind is Kind.FOUNDATION else None
    marks = _in_brackets(step.side, None, _direction(step, hand), usual)
    label = f"{kind_word(step)}{marks}"
    if step.kind is Kind.MEASURE and step.target_cm is not None:
        yield Line((f"{label}: ", num(step.target_cm), " cm."))
    elif step.operations:
        yield Line((f"{label}: ", *begun(row_words(step, craft)), "."))
    else:
        yield Line((f"{label}.",))
    # A look has a note of its own where the pattern has none; a dash says that it has none.
    yield from _note(step.note or ("-" if step.kind in _NOTED else ""))


def lines_of(script: RowScript) -> list[Line]:
    """All lines of one size below the headings."""
    lines: list[Line] = []
    rows_of: dict[str, list[Step]] = {}
    steps = [_for_the_right_hand(step, script.hand) for step in script.steps]
    for step in steps:
        if step.counts_row:
            rows_of.setdefault(step.part, []).append(step)
    usual = {part: _usual(rows, script.craft) for part, rows in rows_of.items()}
    told: set[str] = set()
    for part, run in groupby(steps, key=lambda step: step.part):
        in_part = list(run)
        lines.append(Line((f"Part: {part}",)))
        # Where it is only finished its rows have been told.
        if part in rows_of and (part not in told or any(s.counts_row for s in in_part)):
            lines.append(_length(rows_of[part]))
            told.add(part)
        way = _Way(script.craft, script.hand)
        for rows, alike in groupby(in_part, key=lambda step: step.counts_row):
            if rows:
                lines += _row_lines(list(alike), script.craft, way, usual[part])
            else:
                for step in alike:
                    lines += _step_lines(step, script.craft, script.hand)
    return lines


def _length(rows: Sequence[Step]) -> Line:
    first = rows[0]
    around = all(step.kind is Kind.ROUND for step in rows)
    word = "rounds" if around else "rows"
    if first.rows is None:
        return Line(("Length: open, ", num(first.rows_planned or len(rows)), f" {word} planned"))
    return Line(("Length: ", num(first.rows), f" {word}"))
