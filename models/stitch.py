"""The stitches and handlings a row is made of: everything that is known of each, in one place.

`STITCHES` has an entry for every key that an operation may have. Whoever needs to know something
of a stitch (what it takes, how it is told, drawn, written, mirrored) asks its entry; a new stitch
is a new entry and nothing else. Families that have no end (`k7tog`, `2/3 rpc`) are made when they
are first asked for.

`takes`, `leaves` and `yarn` are loops for one time: how many live loops of the row below it uses
up, how many it leaves live, and how many loops of working yarn it pulls in. The abbreviations of
the stitches and the names of the crossings (`2/2 rc`: 2 over 2, right cross; `lpc`: left cross,
those behind purled) are the Craft Yarn Council's (from memory); the keys of the handlings
(`rest`, `resume`, …) are ours, for what a written pattern says in a sentence. Chart symbols: the
strokes of knit and purl, the ring of a yarn over and the leaning strokes of the decreases mean
what they mean in published charts (JIS L 0201 and the Craft Yarn Council's chart symbols, both
from memory); the others are letters.

Words are templates: `{n}` the number, `{loops}` the number with its noun ("12 loops"); the noun
alone for `{n}` is `{word}`, for one `{loop}`, for many `{many}`; `{at}` is the place, and
`{front}` and `{back}` the two places of a pair. What is empty is said the usual way.
"""

import re
from enum import StrEnum

from models.frozen import Frozen


class Role(StrEnum):
    """What a stitch is for."""

    WORKED = "worked"
    SLIP = "slip"
    """The loop is passed on as it is: afterwards it is the same loop, not a new one."""
    DECREASE = "decrease"
    INCREASE = "increase"
    CROSS = "cross"
    TURN = "turn"
    """Ends a short row: what lies ahead stays live and unworked."""
    BEGIN = "begin"
    END = "end"
    YARN_END = "end of the yarn"
    REGROUP = "regroup"
    """Moves loops between the working row and a resting place; makes none, uses none."""
    MARKER = "marker"
    COLOUR = "colour"
    """Another yarn is taken in hand; `at` names it."""


class Stitch(Frozen):
    """One entry of the table."""

    key: str
    name: str
    takes: int
    leaves: int
    yarn: int
    role: Role
    yarn_on_needles: int | None = None
    """Loops of yarn on needles, where they are others: a bound-off stitch is knitted first."""
    lean: str = ""
    """`left` or `right`, as seen from the side on which it is worked."""
    mirror: str = ""
    """The stitch that is its mirror image; empty where that is itself."""
    behind: str = ""
    """The stitch that it looks like from the other side; empty where that is itself."""
    through: tuple[int, ...] = ()
    """A crossing: which of the loops it takes each loop it makes is pulled through, both counted
    from the right as seen from the side on which it is worked."""

    along: bool = False
    """Its loops come out of an edge, which `at` names."""
    wraps: bool = False
    """It lays the yarn around the next loop."""
    doubles: bool = False
    """It pulls the yarn over the loop, so that the loop lies double."""
    needs: str = ""
    """`wrap` or `double`: what the loop must have for it."""

    # how it is told
    counted: bool = False
    """Its number follows its name: `knit 12`, not `knit, 12 times`."""
    told: str = ""
    told_once: str = ""
    told_loop: str = ""
    """In loop yarn, where that is told otherwise."""
    told_at: str = ""
    """Follows where a place is given."""
    second: str = ""
    """Its words where the hands do it before or after the row: in the second big line, and said.
    Empty: it stands in the first."""
    big: str = ""
    big_loop: str = ""
    short: str = ""

    # how a chart and a written pattern have it
    symbol: str = ""
    """Empty: a free letter is lent to it."""
    symbols: tuple[str, ...] = ()
    """A crossing's symbols, one a loop it leaves, from the left to the right as seen."""
    charted: str = ""
    """What it is called beside a chart; empty: its name."""
    charted_loop: str = ""
    written: str = ""
    """How the notation writes it; empty: `key`, and `key 3 times`."""
    written_once: str = ""
    written_at: str = ""
    spelt: tuple[str, ...] = ()
    """Other spellings in written patterns, in small letters without spaces."""

    @property
    def regroups(self) -> bool:
        """Whether it only moves loops to or from a resting place."""
        return self.role is Role.REGROUP

    @property
    def handling(self) -> bool:
        """Something done with loops or yarn that is no stitch and has no standard abbreviation."""
        return self.role in {Role.REGROUP, Role.YARN_END, Role.COLOUR} or self.key == "fasten"

    @property
    def plain(self) -> bool:
        """Whether it makes one loop of one, where it stood."""
        return self.takes == self.leaves == 1

    @property
    def shaping(self) -> bool:
        """Whether it changes how many loops are live."""
        return self.takes != self.leaves


def _worked(key: str, name: str, **more: object) -> Stitch:
    known = {"takes": 1, "leaves": 1, "yarn": 1, "role": Role.WORKED}
    return Stitch.model_validate({"key": key, "name": name, **known, **more})


def _slip(key: str, name: str, **more: object) -> Stitch:
    known = {"yarn": 0, "role": Role.SLIP, "symbol": "V"}
    return _worked(key, name, **{**known, **more})


def _decrease(key: str, name: str, takes: int = 2, **more: object) -> Stitch:
    known = {
        "takes": takes,
        "role": Role.DECREASE,
        "told_at": " (the {at} with its neighbour)",
        "written_at": ' "{at}"',
    }
    return _worked(key, name, **{**known, **more})


def _increase(key: str, name: str, takes: int = 0, leaves: int = 1, **more: object) -> Stitch:
    known = {"takes": takes, "leaves": leaves, "yarn": leaves, "role": Role.INCREASE}
    return _worked(key, name, **{**known, **more})


def _begin(key: str, name: str, **more: object) -> Stitch:
    return _worked(key, name, **{"takes": 0, "role": Role.BEGIN, **more})


def _end(key: str, name: str, **more: object) -> Stitch:
    known = {"leaves": 0, "yarn": 0, "role": Role.END, "symbol": "∩"}
    return _worked(key, name, **{**known, **more})


def _handling(key: str, name: str, role: Role, **more: object) -> Stitch:
    known = {"takes": 0, "leaves": 0, "yarn": 0, "role": role}
    return _worked(key, name, **{**known, **more})


_NAMED = (
    # made from the row below
    _worked("k", "knit", counted=True, behind="p", symbol="|", written="k{n}"),
    _worked("p", "purl", counted=True, behind="k", symbol="–", written="p{n}"),
    _worked("k tbl", "knit through the back", counted=True, behind="p tbl", symbol="Q",
            written="k{n} tbl", spelt=("ktbl", "k1tbl")),
    _worked("p tbl", "purl through the back", counted=True, behind="k tbl", symbol="q",
            written="p{n} tbl", spelt=("ptbl", "p1tbl")),
    _worked("work", "work in pattern", counted=True, symbol="|", written="work {n}"),
    _worked("k below", "knit into the loop below", spelt=("k1b", "kb"), written_once="k1b",
            written="k1b {n} times"),
    _worked("p below", "purl into the loop below", spelt=("p1b", "pb"), written_once="p1b",
            written="p1b {n} times"),
    _worked("mb", "make a bobble", symbol="●", spelt=("mb", "makebobble", "makeabobble")),
    # brioche: a slipped loop and the yarn over on it are one stitch, and worked as one
    _worked("brk", "brioche knit", symbol="B", behind="brp", spelt=("brk", "brk1")),
    _worked("brp", "brioche purl", symbol="b", behind="brk", spelt=("brp", "brp1")),
    _worked("sl1yo", "slip with the yarn over it",
            spelt=("sl1yo", "sl1yof", "yfsl1yo", "yfsl1yof")),
    _slip("sl", "slip", counted=True, written="sl {n}"),
    _slip("sl kwise", "slip knitwise", written="sl {n} kwise"),
    _slip("sl pwise", "slip purlwise", written="sl {n} pwise"),
    _slip("sl wyif", "slip with yarn in front", written="sl {n} wyif"),
    _slip("sl wyib", "slip with yarn in back", written="sl {n} wyib"),
    # decreases
    _decrease("k2tog", "knit 2 together", lean="right", mirror="ssk", behind="p2tog", symbol="/"),
    _decrease("p2tog", "purl 2 together", lean="right", mirror="ssp", behind="k2tog", symbol="◢"),
    _decrease("ssk", "slip, slip, knit together", lean="left", mirror="k2tog", behind="ssp",
              symbol="\\", spelt=("ssk", "slslk", "slipslipknit")),
    _decrease("ssp", "slip, slip, purl together", lean="left", mirror="p2tog", behind="ssk",
              symbol="◣", spelt=("ssp",)),
    _decrease("k3tog", "knit 3 together", 3, lean="right", mirror="sssk", behind="p3tog",
              symbol="Λ"),
    _decrease("p3tog", "purl 3 together", 3, lean="right", mirror="sssp", behind="k3tog",
              symbol="▲"),
    _decrease("sssk", "slip 3, knit them together", 3, lean="left", mirror="k3tog", behind="sssp",
              spelt=("sssk",)),
    _decrease("sssp", "slip 3, purl them together", 3, lean="left", mirror="p3tog", behind="sssk",
              spelt=("sssp",)),
    _decrease("br dec", "brioche decrease", 3, written_once="brRsl dec",
              written="brRsl dec {n} times",
              spelt=("brrsldec", "brlsldec", "brkrsldec", "brklsldec", "brprsldec", "brplsldec")),
    _decrease("dec", "decrease", counted=True, symbol="^", charted="decrease: 2 become 1",
              written="dec {n}"),
    _decrease("psso", "pass the slipped loop over", 0, leaves=-1, yarn=0, symbol="λ",
              spelt=("psso",)),
    # increases
    _increase("yo", "yarn over", counted=True, symbol="O",
              spelt=("yo", "yon", "yrn", "yfrn", "yfwd", "yfd", "yfon", "yf", "o", "yarnforward",
                     "yarnover")),
    _increase("m1", "make 1", symbol="M", spelt=("m1",)),
    _increase("m1l", "make 1 left", lean="left", mirror="m1r", symbol="L", spelt=("m1l", "lli")),
    _increase("m1r", "make 1 right", lean="right", mirror="m1l", symbol="R", spelt=("m1r", "rli")),
    _increase("m1p", "make 1 purl", spelt=("m1p",)),
    _increase("kfb", "knit front and back", 1, 2, symbol="Y",
              charted="knit front and back: made in the one beside it", spelt=("kfb",)),
    _increase("pfb", "purl front and back", 1, 2, symbol="y",
              charted="purl front and back: made in the one beside it", spelt=("pfb",)),
    _increase("inc", "increase", 1, 2, counted=True, symbol="I",
              charted="increase: made in the one beside it", written="inc in next {n} {word}",
              written_once="inc in next {loop}"),
    # beginnings and ends
    _begin("co", "cast on", told="cast on {loops}", told_loop="count {loops} along the yarn",
           big="cast on {n}", big_loop="count {n}", symbol="U", charted="cast on",
           charted_loop="loop of the foundation", written="cast on {n}"),
    _begin("pick up", "pick up", along=True, told="pick up {loops}", told_at=" along {at}",
           short="pick {n}", symbol="u", charted="picked up", written="pick up {n}",
           written_at=' along "{at}"'),
    _begin("free", "free a foundation loop", yarn=0, along=True, told="free {loops}",
           told_at=" of {at}", big="free {n}", symbol="u", charted="freed from the foundation",
           written="free {n}", written_at=' along "{at}"'),
    _end("bo", "bind off", yarn_on_needles=1, counted=True, written="bo {n}"),
    _end("drop", "drop off the needle", counted=True, written="drop {n}"),
    _end("3nbo", "three-needle bind off", takes=2, yarn=1,
         told="knit together and bind off {n} times, front with back",
         written="three-needle bind off {n}", spelt=("3nbo",)),
    _end("graft", "graft", takes=2, yarn_on_needles=1,
         told="graft {n} times, a {loop} of each half",
         told_once="graft a {loop} of each half", written="graft {n}", spelt=("graft",)),
    _end("seam", "chain together", yarn_on_needles=1,
         told="chain {n} times, front and back in turn", big="chain {n}", written="chain {n}"),
    _end("fasten", "fasten the last loop", told="draw the tail through the last {loops}",
         told_once="fasten the last {loop}", second="draw the tail through {n}", symbol="x",
         written="fasten off {n} {word}", written_once="fasten off"),
    # the yarn's ends: two loops each, cut open and woven in later (common practice, no source)
    _handling("tail", "leave a tail", Role.YARN_END, yarn=2, told="cut the yarn",
              told_loop="cut the yarn and leave a tail of 2 loops", second="cut the yarn",
              written="cut yarn"),
    _handling("join", "join the yarn", Role.YARN_END, yarn=2, told="join the yarn",
              told_loop="join the yarn (2 loops for its end)", second="join the yarn",
              written="join yarn"),
    # a colour is called as she calls it; where two of its yarns hang at once the second says so
    _handling("colour", "change the colour", Role.COLOUR, told="change to {at}", big="in {at}",
              short="in {at}", written='change to "{at}"', spelt=("changeto",)),
    # handlings that only move loops about; `at` names the resting place
    _handling("rest", "rest", Role.REGROUP, told="leave {loops} resting",
              told_at=" as {at}", second="leave {n} resting",
              written='leave {n} {word} resting at "{at}"'),
    _handling("rest next", "rest the next", Role.REGROUP, told="leave the next {loops} resting",
              told_at=" as {at}", second="leave the next {n} resting",
              written='leave the next {n} {word} resting at "{at}"'),
    _handling("resume", "take up", Role.REGROUP, told="take up {loops} from {at}",
              second="take up {n} from {at}",
              written='take up {n} {word} from "{at}"'),
    _handling("pair", "pair front and back", Role.REGROUP,
              told="lay {n} {many} of {front} against {n} of {back}",
              second="lay {n} front against {n} back",
              written='pair {n} {word} of "{front}" with "{back}"'),
    # short rows: what lies beyond the turn stays live and waits
    _handling("turn", "turn", Role.TURN, told="turn", told_loop="stop here and work back",
              big="turn", short="turn", symbol="⤺"),
    _handling("w&t", "wrap the next and turn", Role.TURN, wraps=True,
              told="wrap the next {loop} and turn", told_loop="wrap the next loop and work back",
              big="wrap & turn", short="w&t", symbol="⤺", spelt=("wt", "wrapandturn")),
    _slip("mds", "make a double stitch", doubles=True, spelt=("mds",), symbol="v",
          told_loop="lay the yarn over the first loop, so that it lies double",
          charted="double stitch: the slipped loop with the yarn over it"),
    _worked("k ds", "knit the double stitch as one", needs="double", behind="p ds", symbol="‖",
            told_loop="work both strands of the double loop as one"),
    _worked("p ds", "purl the double stitch as one", needs="double", behind="k ds", symbol="‗"),
    _worked("k wrap", "knit together with the wrap", needs="wrap", behind="p wrap", symbol="‖",
            told="knit {loops} together with the wrap"),
    _worked("p wrap", "purl together with the wrap", needs="wrap", behind="k wrap", symbol="‗",
            told="purl {loops} together with the wrap"),
    _worked("k strand", "knit together with the strand of the turn", spelt=("kstrand",), symbol="‖",
            behind="p strand",
            told="lift the strand of the turn and knit it with the next {loop}"),
    _worked("p strand", "purl together with the strand of the turn", spelt=("pstrand",), symbol="‗",
            behind="k strand",
            told="lift the strand of the turn and purl it with the next {loop}"),
    # no loops at all
    _handling("pm", "place a marker", Role.MARKER, big="place a marker", short="pm",
              told="place a marker", told_at=" ({at})", written="pm",
              written_at=' "{at}"'),
    _handling("sm", "slip the marker", Role.MARKER, told="slip the marker", told_at=" ({at})",
              second="slip the marker", written="sm", written_at=' "{at}"', spelt=("sm", "slm")),
    _handling("rm", "remove the marker", Role.MARKER, big="remove the marker", short="rm",
              told="remove the marker", told_at=" ({at})", written="rm",
              written_at=' "{at}"', spelt=("rm",)),
)  # fmt: skip

SEVERAL: dict[str, tuple[tuple[str, int], ...]] = {
    "skp": (("sl", 1), ("k", 1), ("psso", 1)),
    "skpo": (("sl", 1), ("k", 1), ("psso", 1)),
    "sk2p": (("sl", 1), ("k2tog", 1), ("psso", 1)),
    "sk2po": (("sl", 1), ("k2tog", 1), ("psso", 1)),
    "s2kp": (("sl", 2), ("k", 1), ("psso", 2)),
    "s2kp2": (("sl", 2), ("k", 1), ("psso", 2)),
    "cdd": (("sl", 2), ("k", 1), ("psso", 2)),
    "p2sso": (("psso", 2),),
    "2sso": (("psso", 2),),
    "kyok": (("1 into 3", 1),),
    "kfbf": (("1 into 3", 1),),
    "brkyobrk": (("1 into 3", 1),),
    "brpyobrp": (("1 into 3", 1),),
}
"""Names that written patterns have for several stitches worked one after the other: the Craft
Yarn Council's (from memory); kyok, kfbf and cdd common practice, no source."""


# --- families without end --------------------------------------------------------------------

_TOGETHER = re.compile(r"([kp])([2-9]|[1-9]\d)tog( tbl)?")
_INTO_ONE = re.compile(r"1 into ([2-9])")
_CROSSING = re.compile(r"([1-9]\d?)(?:/([1-9]\d?))?/([1-9]\d?) ([lr])(p?)c")


def crossing(over: int, under: int, lean: str, *, purl: bool = False, between: int = 0) -> str:
    """The key of a crossing: `over` loops pass in front of `under`, to the `left` or `right`.

    `between` loops in the middle stay where they are, behind; with `purl` those behind are
    purled. `crossing(2, 2, "right")` is `2/2 rc`, `crossing(2, 1, "left", purl=True, between=1)`
    is `2/1/1 lpc`.
    """
    middle = f"{between}/" if between else ""
    return f"{over}/{middle}{under} {lean[0]}{'p' if purl else ''}c"


def _made_crossing(over: int, between: int, under: int, lean: str, purl: bool) -> Stitch:
    every = over + between + under
    right = lean == "right"
    # Counted from the right, those that pass in front lie first where they go to the left.
    front = list(range(under + between, every)) if right else list(range(over))
    behind = list(range(under)) if right else list(range(over + between, every))
    middle = [i for i in range(every) if i not in front and i not in behind]
    through = (*front, *middle, *behind) if right else (*behind, *middle, *front)
    stroke, under_symbol = "╱" if right else "╲", "–" if purl else "|"
    symbols = (stroke,) * over, (under_symbol,) * (between + under)
    how = " with purl behind" if purl else ""
    over_what = f"{between} and {under}" if between else f"{under}"
    other = "left" if right else "right"
    return Stitch(
        key=crossing(over, under, lean, purl=purl, between=between),
        name=f"cross {over} over {over_what} to the {lean}{how}",
        takes=every,
        leaves=every,
        yarn=every,
        role=Role.CROSS,
        lean=lean,
        mirror=crossing(over, under, other, purl=purl, between=between),
        # What passes in front for the one passes behind for the other, and the other way.
        behind="" if purl else crossing(under, over, lean, between=between),
        through=through,
        symbols=symbols[1] + symbols[0] if right else symbols[0] + symbols[1],
        charted=f"cross {over} over {over_what} to the {lean}{how}",
        written_once=crossing(over, under, lean, purl=purl, between=between).upper(),
        written=crossing(over, under, lean, purl=purl, between=between).upper() + " {n} times",
    )


def _family(key: str) -> Stitch | None:
    if found := _TOGETHER.fullmatch(key):
        hand, count, back = found.groups()
        word = "knit" if hand == "k" else "purl"
        name = f"{word} {count} together" + (" through the back" if back else "")
        return _decrease(key, name, int(count), lean="left" if back else "right")
    if found := _INTO_ONE.fullmatch(key):
        count = int(found[1])
        inside = ", ".join("k1" if i % 2 == 0 else "p1" for i in range(count))
        once = f"({inside}) in next {{loop}}"
        return _increase(
            key,
            f"work {count} into one loop",
            1,
            count,
            written_once=once,
            written=f"({once}) {{n}} times",
        )
    if found := _CROSSING.fullmatch(key):
        over, between, under, lean, purl = found.groups()
        side = "left" if lean == "l" else "right"
        return _made_crossing(int(over), int(between or 0), int(under), side, bool(purl))
    return None


class _Table(dict[str, Stitch]):
    """The named stitches, and those of a family once they are asked for."""

    def __missing__(self, key: str) -> Stitch:
        found = _family(key)
        if found is None:
            raise KeyError(key)
        self[key] = found
        return found

    def __contains__(self, key: object) -> bool:
        return super().__contains__(key) or (isinstance(key, str) and _family(key) is not None)


STITCHES = _Table({stitch.key: stitch for stitch in _NAMED})
"""Every stitch by its key. `in` and `[]` know the families as well."""

SPELT = {spelling: stitch.key for stitch in _NAMED for spelling in stitch.spelt}
"""The key by the spellings that written patterns have for one stitch."""
