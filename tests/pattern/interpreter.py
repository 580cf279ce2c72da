"""A second, tiny interpreter of rows, which shares nothing with the engine.

A row is made up as a list first; the list is worked stitch by stitch here, and written down in
words with every freedom that print takes. The engine reads the words and must come to the same.
"""

from dataclasses import dataclass

from hypothesis import strategies as st

# what one stitch takes and leaves: Craft Yarn Council, Knit Abbreviations (from memory)
TABLE = {
    "k": (1, 1),
    "p": (1, 1),
    "k2tog": (2, 1),
    "p2tog": (2, 1),
    "k3tog": (3, 1),
    "ssk": (2, 1),
    "ssp": (2, 1),
    "yo": (0, 1),
    "m1": (0, 1),
    "m1l": (0, 1),
    "kfb": (1, 2),
    "pfb": (1, 2),
    "sl": (1, 1),
}
WORDS = {
    "k": ("k{n}", "K{n}", "knit {n}", "K {n}", "k{n} sts"),
    "p": ("p{n}", "P{n}", "purl {n}", "P {n}"),
    "k2tog": ("k2tog", "K2tog", "k2 tog", "knit 2 together", "K 2 tog"),
    "p2tog": ("p2tog", "purl 2 together", "P2tog"),
    "k3tog": ("k3tog", "K3tog"),
    "ssk": ("ssk", "SSK"),
    "ssp": ("ssp", "SSP"),
    "yo": ("yo", "YO", "yarn over", "yfwd"),
    "m1": ("m1", "M1", "make 1"),
    "m1l": ("M1L", "m1l", "make 1 left"),
    "kfb": ("kfb", "Kfb", "k1fb"),
    "pfb": ("pfb", "PFB"),
    "sl": ("sl {n}", "slip {n}", "Sl {n}"),
}
TIMES = {1: ("once",), 2: ("twice", "2 times", "2x"), 3: ("3 times", "three times", "x 3")}


@dataclass(frozen=True)
class Made:
    """A row: the words, and every stitch in order."""

    text: str
    stitches: tuple[str, ...]

    @property
    def takes(self) -> int:
        return sum(TABLE[s][0] for s in self.stitches)

    @property
    def leaves(self) -> int:
        return sum(TABLE[s][1] for s in self.stitches)


@st.composite
def single(draw: st.DrawFn) -> Made:
    name = draw(st.sampled_from(sorted(TABLE)))
    words = draw(st.sampled_from(WORDS[name]))
    if "{n}" in words:
        n = draw(st.integers(1, 12))
        return Made(words.format(n=n), (name,) * n)
    n = draw(st.integers(1, 3))
    return Made(words if n == 1 else f"{words} {times(draw, n)}", (name,) * n)


def times(draw: st.DrawFn, n: int) -> str:
    return draw(st.sampled_from(TIMES.get(n, (f"{n} times", f"{n}x", f"x {n}"))))


def joined(draw: st.DrawFn, parts: list[Made]) -> Made:
    text = parts[0].text
    for part in parts[1:]:
        text += draw(st.sampled_from([", ", "; ", ". ", " , ", ", then ", " and "])) + part.text
    return Made(text, tuple(s for p in parts for s in p.stitches))


@st.composite
def bracket(draw: st.DrawFn, depth: int) -> Made:
    inside = draw(items(depth - 1))
    n = draw(st.integers(1, 5))
    left, right = draw(st.sampled_from(["()", "[]", "{}"]))
    return Made(f"{left}{inside.text}{right} {times(draw, n)}", inside.stitches * n)


@st.composite
def items(draw: st.DrawFn, depth: int) -> Made:
    one = single() if depth <= 0 else st.one_of(single(), single(), bracket(depth))
    return joined(draw, draw(st.lists(one, min_size=1, max_size=4)))


@st.composite
def rows(draw: st.DrawFn) -> Made:
    """A whole row: perhaps a beginning, perhaps a starred repeat, perhaps an end."""
    before = draw(st.none() | items(2))
    body = draw(items(2))
    after = draw(st.none() | items(1))
    total = draw(st.integers(1, 6))
    rest = Made("", ()) if after is None else after
    takes = sum(TABLE[s][0] for s in body.stitches)
    ways = [f"rep from * {total - 1} times more"] if total > 1 else []
    if takes:
        ways.append("rep from *")
        # A row may end in what takes nothing (a yarn over after a repeat to the end).
        ways.append(f"rep from * to last {rest.takes} sts" if rest.takes else "rep from * to end")
    if not ways:
        return body
    said = draw(st.sampled_from(ways))
    mark = draw(st.sampled_from(["*", "* "]))
    text = f"{mark}{body.text}; {said}"
    parts = [p for p in (before,) if p] + [Made(text, body.stitches * total)]
    parts += [after] if after else []
    return Made(", ".join(p.text for p in parts), tuple(s for p in parts for s in p.stitches))
