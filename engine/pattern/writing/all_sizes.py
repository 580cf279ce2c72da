"""The sizes' lines side by side: one line with numbers by size, or one for each group of sizes."""

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from itertools import groupby

from engine.pattern.writing.words import Line, Num, Words

_FEW = 2
"""Lines a size that may stand between those of other sizes."""
_LONG, _IN_COMMON = 24, 0.4
"""In a stretch of more lines than this, of which less than that share is for all sizes, each size
is told by itself."""


def aligned(by_size: Sequence[Sequence[Line]]) -> list[dict[int, Line]]:
    """The sizes' lines side by side: each entry holds one line for each size that has it.

    Part by part, where all have the same parts; and what only some sizes have is told size by size,
    not each size's next line in turn.
    """
    parts = [_parts(lines) for lines in by_size]
    if len({tuple(chunk[0].alike for chunk in chunks) for chunks in parts}) > 1:
        return _aligned(by_size)
    return [
        entry
        for chunks in zip(*parts, strict=True)
        for entry in _in_order(_aligned(chunks), len(by_size))
    ]


def _parts(lines: Sequence[Line]) -> list[list[Line]]:
    chunks: list[list[Line]] = []
    for line in lines:
        if not chunks or str(line.words[0]).startswith("Part: "):
            chunks.append([])
        chunks[-1].append(line)
    return chunks


def _in_order(entries: Sequence[dict[int, Line]], sizes: int) -> Iterator[dict[int, Line]]:
    """The entries, a long stretch of those that not all sizes have apart by their sizes. A part in
    which the sizes have little in common is told for one after the other."""
    shared = [len(entry) == sizes for entry in entries]
    if False in shared:
        first, last = shared.index(False), len(shared) - shared[::-1].index(False)
        while first < last and all(line.note for line in entries[first].values()):
            first += 1  # of the line before
        middle = entries[first:last]
        if len(middle) > _LONG and sum(shared[first:last]) < _IN_COMMON * len(middle):
            yield from entries[:first]
            for size in range(sizes):
                yield from ({size: entry[size]} for entry in middle if size in entry)
            yield from entries[last:]
            return
    for common, run in groupby(entries, key=lambda entry: len(entry) == sizes):
        stretch = list(run)
        if common or len(stretch) <= _FEW * sizes:
            yield from stretch
            continue
        # Sizes that have the same lines stay together.
        alike: dict[tuple[bool, ...], list[int]] = {}
        for size in range(sizes):
            alike.setdefault(tuple(size in entry for entry in stretch), []).append(size)
        for here, together in alike.items():
            for entry in (entry for entry, has in zip(stretch, here, strict=True) if has):
                yield {size: entry[size] for size in together}


def _aligned(by_size: Sequence[Sequence[Line]]) -> list[dict[int, Line]]:
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


def in_all_sizes(lines: Sequence[Line]) -> str:
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
    if all(line.words[1:2] == (Num("1"),) and _length(line) for line in plain):
        plain = [Line((*p.words[:2], str(p.words[2]).replace("s", "", 1))) for p in plain]
    once: Words = (Num("1"), " times more.")
    if all(line.words[-2:] == once for line in plain):
        plain = [Line((*line.words[:-2], "once more.")) for line in plain]
    return plain


def _some_alone(lines: Sequence[Line]) -> bool:
    """Whether the stretch is a single row in some sizes and not in others: nobody writes `Rnds
    11–11 (12)`, so each is told its own."""
    alone = {line.words[1] == line.words[3] for line in lines if line.spans}
    return len(alone) > 1


def _length(line: Line) -> bool:
    return str(line.words[0]).startswith("Length: ")


def written(entry: dict[int, Line], sizes: Sequence[str]) -> Iterator[str]:
    """An entry's line, or one for each group of sizes whose line is the same."""
    if len(entry) == len(sizes) and not _some_alone(list(entry.values())):
        lines = [entry[i] for i in range(len(sizes))]
        yield ("Note: " if lines[0].note else "") + in_all_sizes(_plainly(lines))
        return
    said: dict[str, list[str]] = {}
    for size, line in entry.items():
        said.setdefault(in_all_sizes(_plainly([line])), []).append(sizes[size])
    note = next(iter(entry.values())).note
    for text, names in said.items():
        if note:
            yield f"Note ({', '.join(names)}): {text}"
        else:
            yield f"For size{'s' if len(names) > 1 else ''} {', '.join(names)}: {text}"
