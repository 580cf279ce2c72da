"""Writes row scripts out as a pattern by size, in the notation that `engine.pattern` reads.

Each size's script becomes lines first: what repeats is drawn together ("Rows 3–14", "Rep rows 1–2
4 times more"), and the longest stretch of a row is said by where it ends ("k to last 3 sts"), so
that sizes whose rows are alike have the same words and differ in numbers only. Then the sizes'
lines are laid side by side: lines with the same words become one with numbers by size, `24 (28,
32)`; a line that only some sizes have says for which. What is read back is the script that was
written, step for step; `tests/pattern/test_write.py` holds it to that.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import groupby

from engine.base.refusal import Refusal
from engine.craft.sizes import CM_PER_INCH
from engine.script.repeats import Repeat, folded
from engine.script.wording import filled, loop_word
from models.gauge import Gauge
from models.script import Craft, Direction, Hand, Kind, Operation, RowScript, Step
from models.stitch import Role

_LONGEST_REPEAT = 8
"""Rows in a repeat: a longer one is easier to follow written out."""
_NOTED = frozenset({Kind.BACK_CHECK, Kind.FIT_CHECK, Kind.MEASURE, Kind.FINISH})
"""Steps that the reader gives a note where the pattern has none."""


@dataclass(frozen=True)
class Num:
    """A number that may differ from size to size, as it is written."""

    said: str


Piece = str | Num
Words = tuple[Piece, ...]


@dataclass(frozen=True)
class Line:
    """One line for one size."""

    words: Words
    note: bool = False
    spans: bool = False
    """Whether it is labelled `Rows `, a first number, a dash and a last number."""

    @property
    def alike(self) -> tuple[bool, tuple[str | None, ...]]:
        """What must be the same for two sizes' lines to become one."""
        return self.note, tuple(None if isinstance(p, Num) else p for p in self.words)


def _num(value: float) -> Num:
    return Num(repr(int(value)) if value == int(value) else repr(value))


# --- one size: a row in words ---------------------------------------------------------------

_HOLE = re.compile(r"(\{[a-z]+\})")


def _operation(o: Operation, craft: Craft) -> Words:
    """One operation in the written notation."""
    entry = o.entry
    if entry.role is Role.MARKER and o.at:
        return _marker(o)
    template = (entry.written_once if o.times == 1 else "") or entry.written
    template = template or (o.stitch if o.times == 1 else f"{o.stitch} {{n}} times")
    template += entry.written_at if o.at else ""
    pieces = tuple(
        _num(o.times) if piece == "{n}" else filled(piece, o, craft)
        for piece in _HOLE.split(template)
    )
    return _joined([pieces])


def _marker(o: Operation) -> Words:
    after, before = o.at.split(" "), o.at.partition(" before the end")
    if len(after) == 3 and after[0] == "after" and after[1].isdigit():
        return ("pm after ", Num(after[1]), f" {after[2]}")
    first = before[0].split(" ")
    if before[1] and not before[2] and len(first) == 2 and first[0].isdigit():
        return ("pm ", Num(first[0]), f" {first[1]} before the end")
    return (f'{o.stitch} "{o.at}"',) if o.at else (o.stitch,)


def _joined(items: Sequence[Words]) -> Words:
    """Items with commas between, neighbouring text drawn together."""
    out: list[Piece] = []
    for index, item in enumerate(items):
        for piece in (", ", *item) if index else item:
            if isinstance(piece, str) and out and isinstance(out[-1], str):
                out[-1] += piece
            elif piece != "":
                out.append(piece)
    return tuple(out)


def _stretch(items: list[Operation | Repeat], live: int) -> int | None:
    """Index of the item that is said by where it ends: the longest knit or purl, or a repeat.

    Only where every other item takes a number of loops that it says.
    """
    if len(items) == 1 and isinstance(items[0], Repeat):
        inside = items[0].operations
        takes = sum(o.takes for o in inside) * items[0].times
        plain = not any(o.entry.regroups or o.at for o in inside)
        return 0 if takes == live and takes and plain else None
    longest, best = 1, None
    for index, item in enumerate(items):
        if isinstance(item, Operation) and item.stitch in {"k", "p"} and item.times > longest:
            longest, best = item.times, index
    return best


def _row(step: Step, craft: Craft) -> Words:
    """What is worked in a row or a step, without its label."""
    words: list[Words] = []
    if step.kind is Kind.FOUNDATION and step.operations[0].stitch == "tail":
        words.append(("leave a tail",))
        step = step.model_copy(update={"operations": step.operations[1:]})
    items = folded(step.operations)
    taken = [_taken(item) for item in items]
    reach = _stretch(items, step.loops_before) if step.counts_row else None
    if reach is not None and sum(taken) != step.loops_before:
        reach = None
    for index, item in enumerate(items):
        after = sum(taken[index + 1 :])
        if isinstance(item, Repeat):
            inside = _joined([_operation(o, craft) for o in item.operations])
            if index == reach:
                words.append(("*", *inside, "; rep from * to end"))
            else:
                words.append(("(", *inside, ") ", _num(item.times), " times"))
        elif index == reach and after == 0:
            words.append((f"{item.stitch} to end",))
        elif index == reach and after == 1:
            words.append((f"{item.stitch} to last {loop_word(craft, 1)}",))
        elif index == reach:
            words.append((f"{item.stitch} to last ", _num(after), f" {loop_word(craft)}"))
        else:
            words.append(_operation(item, craft))
    return _joined(words)


def _taken(item: Operation | Repeat) -> int:
    if isinstance(item, Repeat):
        return sum(o.takes for o in item.operations) * item.times
    return item.takes


def _begun(words: Words) -> Words:
    """With a capital."""
    first = words[0] if words else ""
    if isinstance(first, str) and first[:1].isalpha():
        return (first[0].upper() + first[1:], *words[1:])
    return words


# --- one size: rows and steps in lines ------------------------------------------------------


def _direction(step: Step, hand: Hand) -> Direction | None:
    """As for a right-handed maker, which is how a pattern is written."""
    if step.direction is None or hand is Hand.RIGHT:
        return step.direction
    return step.direction.back


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


def _row_lines(steps: Sequence[Step], craft: Craft, way: _Way) -> Iterator[Line]:
    """Rows that follow one another, what repeats drawn together."""
    rows = [_Row(_begun(_row(s, craft)), way.marks(s), s.note, s.kind) for s in steps]
    numbers = [s.row or 0 for s in steps]
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
            more = _num(times - 1)
            yield Line((f"Rep {word} ", _num(first), "–", _num(last), " ", more, " times more."))
        at += period * times


def _repeat_at(rows: Sequence[_Row], at: int) -> tuple[int, int]:
    """Period and times of what repeats here; once, with period 1, where nothing does."""
    best = (1, 1)
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
    words = (word, _num(first), "–", _num(last), *_joined([(marked, *row.words, ".")]))
    return Line(words, spans=True)


def _note(note: str) -> Iterator[Line]:
    if note:
        yield Line(_with_numbers(note), note=True)


def _with_numbers(text: str) -> Words:
    """A sentence with its numbers set apart, so that they may differ from size to size."""
    pieces: list[Piece] = []
    for numeral, run in groupby(_tokens(text), key=lambda token: token[0].isdigit()):
        for token in run:
            if numeral:
                pieces.append(Num(token))
            elif pieces and isinstance(pieces[-1], str):
                pieces[-1] += token
            else:
                pieces.append(token)
    return tuple(pieces)


def _tokens(text: str) -> Iterator[str]:
    """Numbers, with a decimal point where digits follow it, and single other characters."""
    at = 0
    while at < len(text):
        end = at + 1
        if text[at].isdigit():
            while end < len(text) and (
                text[end].isdigit()
                or (
                    text[end] == "."
                    and text[end + 1 : end + 2].isdigit()
                    and "." not in text[at:end]
                )
            ):
                end += 1
        yield text[at:end]
        at = end


def _step_lines(step: Step, craft: Craft, hand: Hand) -> Iterator[Line]:
    """A step that is no row."""
    usual = Direction.LEFT_TO_RIGHT if step.kind is Kind.FOUNDATION else None
    marks = _in_brackets(step.side, None, _direction(step, hand), usual)
    label = f"{step.kind.value.capitalize()}{marks}"
    if step.kind is Kind.MEASURE and step.target_cm is not None:
        yield Line((f"{label}: ", _num(step.target_cm), " cm."))
    elif step.operations:
        yield Line((f"{label}: ", *_begun(_row(step, craft)), "."))
    else:
        yield Line((f"{label}.",))
    # A look has a note of its own where the pattern has none; a dash says that it has none.
    yield from _note(step.note or ("-" if step.kind in _NOTED else ""))


def _lines(script: RowScript) -> list[Line]:
    """All lines of one size below the headings."""
    lines: list[Line] = []
    rows_of: dict[str, list[Step]] = {}
    for step in script.steps:
        if step.counts_row:
            rows_of.setdefault(step.part, []).append(step)
    for part, in_part in groupby(script.steps, key=lambda step: step.part):
        lines.append(Line((f"Part: {part}",)))
        if part in rows_of:
            lines.append(_length(rows_of[part]))
        way = _Way(script.craft, script.hand)
        for rows, run in groupby(in_part, key=lambda step: step.counts_row):
            if rows:
                lines += _row_lines(list(run), script.craft, way)
            else:
                for step in run:
                    lines += _step_lines(step, script.craft, script.hand)
    return lines


def _length(rows: Sequence[Step]) -> Line:
    first = rows[0]
    planned = _num(first.rows_planned or len(rows))
    if first.rows is None:
        return Line(("Length: open, ", planned, " rows planned"))
    return Line(("Length: ", _num(first.rows), " rows"))


# --- all sizes ------------------------------------------------------------------------------


def _aligned(by_size: Sequence[Sequence[Line]]) -> list[dict[int, Line]]:
    """The sizes' lines side by side: each entry holds one line for each size that has it."""
    merged: list[dict[int, Line]] = [{0: line} for line in by_size[0]]
    for size, lines in enumerate(by_size[1:], 1):
        old = [next(iter(entry.values())).alike for entry in merged]
        new = [line.alike for line in lines]
        out: list[dict[int, Line]] = []
        matcher = SequenceMatcher(None, old, new, autojunk=False)
        for tag, a, b, c, d in matcher.get_opcodes():
            if tag == "equal":
                pairs = zip(merged[a:b], lines[c:d], strict=True)
                out += [entry | {size: line} for entry, line in pairs]
            else:
                out += merged[a:b]
                out += [{size: line} for line in lines[c:d]]
        merged = out
    return merged


def _by_size(lines: Sequence[Line]) -> str:
    """One line with its numbers by size: `24 (28, 32)`, or one number where all are the same."""
    pieces: list[str] = []
    for column in zip(*(line.words for line in lines), strict=True):
        said = [p.said if isinstance(p, Num) else p for p in column]
        if len(set(said)) == 1:
            pieces.append(said[0])
        else:
            pieces.append(f"{said[0]} ({', '.join(said[1:])})")
    return "".join(pieces)


def _plainly(lines: Sequence[Line]) -> list[Line]:
    """Sizes' lines as they are said: `Rows 3–3` is row 3, and one time is once."""
    plain = list(lines)
    if all(line.spans and line.words[1] == line.words[3] for line in plain):
        plain = [Line((f"{str(p.words[0])[:-2]} ", p.words[1], *p.words[4:])) for p in plain]
    once: Words = (Num("1"), " times more.")
    if all(line.words[-2:] == once for line in plain):
        plain = [Line((*line.words[:-2], "once more.")) for line in plain]
    return plain


def _written(entry: dict[int, Line], sizes: Sequence[str]) -> Iterator[str]:
    """An entry's line, or one for each group of sizes whose line is the same."""
    if len(entry) == len(sizes):
        lines = [entry[i] for i in range(len(sizes))]
        yield ("Note: " if lines[0].note else "") + _by_size(_plainly(lines))
        return
    said: dict[str, list[str]] = {}
    for size, line in entry.items():
        said.setdefault(_by_size(_plainly([line])), []).append(sizes[size])
    note = next(iter(entry.values())).note
    for text, names in said.items():
        if note:
            yield f"Note ({', '.join(names)}): {text}"
        else:
            yield f"For size{'s' if len(names) > 1 else ''} {', '.join(names)}: {text}"


def _gauge(gauge: Gauge, craft: Craft) -> str:
    """Over 10 cm, or over 4 in where that comes out in short numbers."""
    word = loop_word(craft)
    across, up = gauge.loops_per_10cm, gauge.rows_per_10cm
    if len(repr(across)) > 6 or len(repr(up)) > 6:
        four = 4 * CM_PER_INCH
        a, b = round(across * four / 10, 2), round(up * four / 10, 2)
        if a * 10 / four == across and b * 10 / four == up:
            return f"Gauge: {a:g} {word} and {b:g} rows = 4 in"
    return f"Gauge: {_num(across).said} {word} and {_num(up).said} rows = 10 cm"


def _headings(scripts: Sequence[RowScript]) -> Iterator[str]:
    first = scripts[0]
    yield f"Title: {first.title}"
    if first.design:
        yield f"Design: {first.design}"
    yield f"Craft: {first.craft.value}"
    sizes = [script.size for script in scripts]
    if len(sizes) > 1:
        yield f"Sizes: {sizes[0]} ({', '.join(sizes[1:])})"
    elif sizes[0]:
        yield f"Sizes: {sizes[0]}"
    yield _gauge(first.gauge, first.craft)
    for name in first.finished_cm:
        values = [Line((_num(script.finished_cm[name]),)) for script in scripts]
        yield f"Finished {name}: {_by_size(values)} cm"
    for group in first.level:
        yield f"Level: {', '.join(group)}"
    for pair in first.mirrored:
        yield f"Mirrored: {', '.join(pair)}"


def _check_alike(scripts: Sequence[RowScript]) -> None:
    if not scripts:
        raise Refusal("There is no size to write: name one at least.")
    sizes = [script.size for script in scripts]
    if len(set(sizes)) < len(sizes):
        raise Refusal(f"A size is named twice: give each of {', '.join(sizes)} once.")
    first = scripts[0]
    for script in scripts[1:]:
        alike = ("title", "design", "craft", "gauge", "hand", "level", "mirrored")
        for name in alike:
            if getattr(script, name) != getattr(first, name):
                raise Refusal(
                    f"Sizes {first.size} and {script.size} differ in their {name}, so they are "
                    "two patterns: write them one by one."
                )
        if list(script.finished_cm) != list(first.finished_cm):
            raise Refusal("These sizes have other measurements: write them one by one.")


def write(scripts: Sequence[RowScript]) -> str:
    """The pattern of these scripts, one a size, in the written notation.

    Raises Refusal for scripts that are not sizes of one pattern.
    """
    _check_alike(scripts)
    sizes = [script.size for script in scripts]
    out = list(_headings(scripts))
    for entry in _aligned([_lines(script) for script in scripts]):
        for line in _written(entry, sizes):
            if line.startswith("Part: "):
                out.append("")
            out.append(line)
    return "\n".join(out) + "\n"
