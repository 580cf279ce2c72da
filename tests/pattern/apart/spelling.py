"""Writes made-up rows down in the spellings that print has."""

import re
from collections.abc import Sequence
from random import Random

from tests.pattern.apart.rows import FEWER, MORE, Node, One, Repeat, takes

_BRACKETED = re.compile(r"[)\]}]( (all )?in(to)? \w+ \w+)?$")
"""`yo, (k1, k1 tbl, k1) in next st 3 times`: the bracket says what is repeated."""
NUMBERS = "zero one two three four five six seven eight nine ten eleven twelve".split()  # noqa: SIM905
COUNTED = {
    "k": ("k{n}", "K{n}", "k{n}", "K {n}", "knit {n}", "Knit {n}", "k{n} sts", "knit {n} sts",
          "knit {w}", "knit next {n} sts", "K{n} loops"),
    "p": ("p{n}", "P{n}", "p{n}", "P {n}", "purl {n}", "Purl {n}", "p{n} sts", "purl {n} sts",
          "purl {w}", "purl next {n} sts"),
    "k tbl": ("k{n} tbl", "K{n} tbl", "k{n}tbl", "k{n} through back loop"),
    "p tbl": ("p{n} tbl", "P{n}tbl"),
    "sl": ("sl {n}", "sl{n}", "slip {n}", "Sl {n}", "sl {n} wyif", "sl {n} pwise", "slip {n} st",
           "sl {n} purlwise", "sl {n} with yarn in back", "sl {n} kwise"),
}  # fmt: skip
SINGLE = {
    "k": ("k1", "K1", "knit 1", "knit next st", "k one", "knit 1 st", "K 1"),
    "p": ("p1", "P1", "purl 1", "purl next st", "purl one", "P 1"),
    "sl": ("sl 1", "sl1", "slip 1", "Sl 1", "sl 1 wyif", "sl1 pwise", "slip 1 purlwise",
           "slip next st", "sl 1 wyib", "sl 1 as if to purl"),
    "k2tog": ("k2tog", "K2tog", "K2TOG", "k2 tog", "k 2 tog", "K 2 together", "knit 2 together",
              "knit two together", "knit 2 sts together", "k2 together", "K2T", "k 2tog"),
    "p2tog": ("p2tog", "P2tog", "p2 tog", "p 2 tog", "purl 2 together", "purl two together"),
    "ssk": ("ssk", "SSK", "Ssk", "s.s.k.", "slip, slip, knit", "sl, sl, k", "k2tog tbl"),
    "ssp": ("ssp", "SSP", "p2tog tbl"),
    "k3tog": ("k3tog", "K3tog", "k3 tog", "knit 3 together", "knit three together"),
    "p3tog": ("p3tog", "P3tog", "purl 3 together"),
    "sssk": ("sssk", "SSSK"),
    "skp": ("skp", "SKP", "skpo", "sl 1, k1, psso", "sl1, k1, psso", "sl1-k1-psso",
            "Sl 1, K 1, psso", "slip 1, knit 1, pass slipped stitch over",
            "sl 1, k1, pass sl st over", "sl 1 kwise, k1, psso", "sl 1, k1, p.s.s.o."),
    "sk2p": ("sk2p", "SK2P", "sk2po", "sl 1, k2tog, psso", "sl1-k2tog-psso", "Sl1, K2tog, PSSO",
             "slip 1, knit 2 together, pass slipped stitch over", "sl 1, k 2 tog, psso"),
    "s2kp": ("s2kp", "S2KP2", "cdd", "sl 2 tog, k1, p2sso", "sl 2 tog kwise, k1, p2sso",
             "sl 2, k1, p2sso", "sl 2 as if to k2tog, k1, pass 2 sl sts over"),
    "yo": ("yo", "YO", "Yo", "yarn over", "y.o.", "yfwd", "yrn", "yon", "o", "yf", "yo1"),
    "m1": ("m1", "M1", "make 1", "make one", "M 1", "m1 st"),
    "m1l": ("m1l", "M1L", "make 1 left", "m1 left", "M1-L", "LLI"),
    "m1r": ("m1r", "M1R", "make 1 right", "M1-R", "RLI"),
    "m1p": ("m1p", "M1P", "make 1 purlwise", "M1 pwise"),
    "kfb": ("kfb", "Kfb", "KFB", "k1fb", "k1f&b", "kf&b", "knit into front and back of next st",
            "inc in next st", "inc 1 in next st", "kf/b", "k1 f&b",
            "knit in front and back of next stitch", "k into front and back of st"),
    "pfb": ("pfb", "PFB", "p1f&b", "pf&b", "purl into front and back of next st"),
    "kfbf": ("kfbf", "k1fbf", "(k1, k1 tbl, k1) in next st"),
    "3 in 1": ("(k1, p1, k1) in next st", "(k1, yo, k1) in next st", "[k1, p1, k1] into next st",
               "(k1, yo, k1) all in next st", "k1-p1-k1 in next st", "kyok",
               "(K1, P1, K1) in same st", "(k, p, k) into next stitch"),
    "5 in 1": ("(k1, p1, k1, p1, k1) in next st", "(k1, yo, k1, yo, k1) in next st",
               "[k1, (yo, k1) twice] in next st"),
}  # fmt: skip
LOOSE = {
    "kfb": ("inc 1", "inc", "increase 1", "Inc 1 st"),
    "m1": ("inc 1", "inc", "increase 1", "Inc 1 st"),
    "3 in 1": ("k1, yo, k1 in next st", "k1, p1, k1 in next st", "k1, p1, k1 all in next st"),
    "s2kp": ("sl 2, k1, psso", "slip 2, k1, pass slipped sts over"),
    "yo": ("yf", "yfwd"),
    "sl": ("yf, sl 1, yb", "yfwd, sl 1", "bring yarn to front, sl 1"),
}  # fmt: skip
"""What authors write and others read otherwise."""


def _pairs(body: Sequence[Node]) -> bool:
    """Whether `yo, k2tog 3 times` may be written for three of both."""
    near, last = body[-2] if len(body) > 1 else None, body[-1]
    if not (isinstance(near, One) and isinstance(last, One) and last.times == 1):
        return False
    if last.name in {"3 in 1", "5 in 1"}:
        return False
    return takes([last]) > 0 and (
        near.name in MORE or (near.name in FEWER and last.name not in FEWER)
    )


class Speller:
    """Spells with one hand: `tidy` keeps to one way within a row, as authors do."""

    def __init__(self, chance: Random) -> None:
        self.chance = chance
        self.loose = False
        """Whether something was written that others read otherwise."""
        self.join = chance.choice((", ",) * 6 + ("; ", ". ", " ", ",", ", then ", " and ", " - "))

    def pick(self, *ways: str) -> str:
        return self.chance.choice(ways)

    def number(self, n: int) -> str:
        return NUMBERS[n] if n < len(NUMBERS) and self.chance.random() < 0.15 else str(n)

    def times(self, n: int) -> str:
        ways = [f"{n} times", f"{n} times", f"{n}x", f"x {n}", f"{NUMBERS[n]} times", f"{n} x"]
        if n == 1:
            ways = ["once"]
        if n == 2:
            ways += ["twice"] * 4
        return self.pick(*ways)

    def one(self, node: One) -> str:
        if node.name in LOOSE and node.times == 1 and self.chance.random() < 0.08:
            self.loose = True
            return self.pick(*LOOSE[node.name])
        if node.times == 1 and node.name in SINGLE:
            return self.pick(*SINGLE[node.name])
        if node.name in COUNTED:
            w = NUMBERS[node.times] if node.times < len(NUMBERS) else str(node.times)
            return self.pick(*COUNTED[node.name]).format(n=node.times, w=w)
        word = self.pick(*SINGLE[node.name])
        several = "," in word or "-" in word
        if node.times == 2 and word.lower() in {"yo", "k2tog", "yarn over", "m1"}:
            return self.pick(f"{word} twice", f"({word}) twice", f"{word} 2 times")
        if several or self.chance.random() < 0.5:
            left, right = self.pick("()", "[]", "()")
            return f"{left}{word}{right} {self.times(node.times)}"
        return f"{word} {self.times(node.times)}"

    def nodes(self, nodes: Sequence[Node]) -> str:
        return self.join.join(self.node(n) for n in nodes)

    def node(self, node: Node) -> str:
        return self.one(node) if isinstance(node, One) else self.counted(node)

    def bracket(self, body: Sequence[Node]) -> str:
        left, right = self.pick("()", "[]", "()", "{}")
        return f"{left}{self.nodes(body)}{right}"

    def counted(self, node: Repeat) -> str:
        inside, n = self.bracket(node.body), node.times
        if self.chance.random() < 0.2 and _pairs(node.body):
            said = self.nodes(node.body)
            if not _BRACKETED.search(said):
                self.loose = True
                return f"{said} {self.times(n)}"  # without the brackets it needs
        return self.pick(
            f"{inside} {self.times(n)}",
            f"{inside} {self.times(n)}",
            f"work {inside} {self.times(n)}",
            f"rep {inside} {self.times(n)}",
            f"{inside} a total of {n} times",
            f"{inside} {n} times in all",
        )

    def row(self, nodes: Sequence[Node]) -> tuple[str, str]:
        """The row as a sentence, and the name of the way in which its repeat was said."""
        at = next((i for i, n in enumerate(nodes) if isinstance(n, Repeat) and n.open), None)
        if at is None:
            return self._starred(nodes)
        before, after = nodes[:at], nodes[at + 1 :]
        node = nodes[at]
        assert isinstance(node, Repeat)
        if len(node.body) == 1 and isinstance(node.body[0], One) and node.body[0].name in "kp":
            how, text = self._stretch(node.body[0].name, takes(after), bool(after))
        else:
            how, text = self._open(node, takes(after), bool(before), bool(after))
        parts = [self.nodes(before)] if before else []
        parts.append(text)
        if after:
            parts.append(self.nodes(after))
        return self.join.join(parts), how

    def _stretch(self, hand: str, short: int, more: bool) -> tuple[str, str]:
        verb = self.pick(hand, hand.upper(), "knit" if hand == "k" else "purl")
        if not short:
            ways = [
                "{v} to end",
                "{v} across",
                "{v} to end of row",
                "{v} to the end",
                "{v} around",
                "{v} rem sts",
                "{v} all rem sts",
                "{v} every st to end",
                "{v} to end of rnd",
            ]
        elif short == 1:
            ways = [
                "{v} to last st",
                "{v} until last st",
                "{v} to last stitch",
                "{v} to last 1 st",
                "{v} until 1 st remains",
                "{v} to within 1 st of end",
            ]
        else:
            ways = [
                "{v} to last {n} sts",
                "{v} to last {n} sts",
                "{v} until {n} sts remain",
                "{v} to last {n}",
                "{v} to within {n} sts of end",
                "{v} to within last {n} sts",
                "{v} until last {n} sts",
                "{v} to {n} sts before end",
                "{v} across to last {n} sts",
                "{v} until {n} sts rem",
                "{v} to the last {w} sts",
            ]
        way = self.pick(*ways)
        w = NUMBERS[short] if short < len(NUMBERS) else str(short)
        return way, way.format(v=verb, n=short, w=w)

    def _open(self, node: Repeat, short: int, edge: bool, more: bool) -> tuple[str, str]:
        body = self.nodes(node.body)
        star = self.pick("*", "*", "* ", "**", "†")
        mark = star.strip()
        rep = self.pick("rep", "repeat", "Rep", "Repeat", "rep.")
        pause = self.pick("; ", ", ", ". ", ": ", " ")
        end = self.pick(
            "to end",
            "across",
            "to end of row",
            "around",
            "to end of rnd",
            "across row",
            "to the end",
            "to end of round",
        )
        last = f"last {short} sts" if short > 1 else "last st"
        ways: list[tuple[str, str]] = []
        if not short:
            ways = [
                ("rep from * to end", f"{star}{body}{pause}{rep} from {mark} {end}"),
                ("rep from * to end", f"{star}{body}{pause}{rep} from {mark} {end}"),
                ("rep from *", f"{star}{body}{pause}{rep} from {mark}"),
                ("rep * to end", f"{star}{body}{pause}{rep} {mark} {end}"),
                ("*…* rep to end", f"{star}{body}{mark} {rep} {end}"),
                ("*…* to end", f"{star}{body}{mark} {end}"),
                ("*…*", f"{star}{body}{mark}"),
                (
                    "*…* rep from * to * to end",
                    f"{star}{body}{mark}{pause}{rep} from {mark} to {mark} {end}",
                ),
                ("rep between *s to end", f"{star}{body}{mark}{pause}{rep} between {mark}s {end}"),
                ("(…) to end", f"{self.bracket(node.body)} {end}"),
                ("(…) rep to end", f"{self.bracket(node.body)}{pause}{rep} {end}"),
                ("rep (…) to end", f"{rep} {self.bracket(node.body)} {end}"),
                ("work (…) to end", f"work {self.bracket(node.body)} {end}"),
                ("(…)*", f"{self.bracket(node.body)}* {end}"),
            ]
            if not edge and len(node.body) > 1:  # the whole row is the repeat
                ways += [
                    ("a, b, rep to end", f"{body}, {rep} {end}"),
                    ("a, b, rep from beg", f"{body}{pause}{rep} from beg {end}"),
                ]
                if self._runs(node.body):
                    ways += [("a, b to end", f"{body} {end}")] * 2
        if short:
            ways += [
                ("to last", f"{star}{body}{pause}{rep} from {mark} to {last}"),
                ("to last", f"{star}{body}{pause}{rep} from {mark} to {last}"),
                ("across to last", f"{star}{body}{pause}{rep} from {mark} across to {last}"),
                ("until remain", f"{star}{body}{pause}{rep} from {mark} until {short} sts rem"),
                ("to within", f"{star}{body}{pause}{rep} from {mark} to within {last}"),
                ("(…) to last", f"{self.bracket(node.body)} to {last}"),
                ("*…* to last", f"{star}{body}{mark} to {last}"),
                ("rep * to last", f"{star}{body}{pause}{rep} {mark} to {last}"),
            ]
        if more:
            ends = self.pick("end", "ending", "ending with", "end with", "ends")
            ways += [
                ("end X", f"{star}{body}{pause}{rep} from {mark}, {ends}"),
                ("across, end X", f"{star}{body}{pause}{rep} from {mark} across, {ends}"),
                ("rep from *", f"{star}{body}{pause}{rep} from {mark}"),
                ("to end, X", f"{star}{body}{pause}{rep} from {mark} to end"),
            ]
        return self.chance.choice(ways)

    def _runs(self, body: Sequence[Node]) -> bool:
        """Whether "a, b to end" may be said of it: nobody ends such a run on what takes no loop."""
        last = body[-1]
        return isinstance(last, One) and last.name not in {"k", "p", "sl", "3 in 1", "5 in 1"}

    def _starred(self, nodes: Sequence[Node]) -> tuple[str, str]:
        """At most one bracket of the row said with asterisks."""
        at = [i for i, n in enumerate(nodes) if isinstance(n, Repeat)]
        if len(at) != 1 or self.chance.random() < 0.3:
            return self.nodes(nodes), "counted"
        i = at[0]
        node = nodes[i]
        assert isinstance(node, Repeat)
        n, body = node.times, self.nodes(node.body)
        more = f"{n - 1} times more" if n > 2 else self.pick("once more", "1 time more", "once")
        again = f"{n - 1} more times" if n > 2 else "1 more time"
        ways = [
            (f"rep from * {more}", f"*{body}; rep from * {more}"),
            (f"rep from * {again}", f"*{body}, repeat from * {again}"),
            ("rep from * n times in all", f"*{body}; rep from * {n} times in all"),
            ("rep from * n times total", f"*{body}; rep from * {n} times total"),
            ("*…* n times", f"*{body}* {self.times(n)}"),
            ("*…*; rep between * n times more", f"*{body}*; rep between *s {more}"),
            ("for a total of", f"*{body}; rep from * for a total of {n} times"),
            ("rep from * n times", f"*{body}; rep from * {n - 1} times" if n > 2 else
             f"*{body}; rep from * once"),
            ("rep from * n times, the first counted in", f"*{body}; rep from * {n} times"),
        ]  # fmt: skip
        how, text = self.chance.choice(ways)
        parts = [self.nodes(nodes[:i])] if i else []
        parts.append(text)
        if nodes[i + 1 :]:
            parts.append(self.nodes(nodes[i + 1 :]))
        return ", ".join(parts), "".join("n" if c.isdigit() else c for c in how)


LABELS = (
    "", "", "Row 5: ", "Row 5 (RS): ", "Row 6 (WS): ", "Rnd 3: ", "5th row: ", "Row 5. ", "R5: ",
    "Next row: ", "Next row (RS): ", "Dec row: ", "Row 7 and every other row: ", "Rows 1-4: ",
    "1st row (right side): ", "Round 12: ", "Next rnd: ", "Row 3 - ",
)  # fmt: skip


def claim(chance: Random, on: int, left: int) -> tuple[str, str]:
    """The count printed after a row, or nothing; and which way it was said."""
    ways = [
        "", "", "", " ({l} sts)", ". {l} sts.", " - {l} sts.", " [{l} sts]", ". ({l} sts rem)",
        " = {l} sts", ". You now have {l} sts.", " ({l} sts total)", ". {l} sts on needle.",
        ", {l} sts.", " ({l} stitches)", ". {l} sts remain.", " -- {l} sts", ": {l} sts",
        ". There are {l} sts.", " ({l} sts in all)", " ({l})", ". Total: {l} sts.",
    ]  # fmt: skip
    more = left - on
    if more > 0:
        ways += [" ({m} sts inc)", " ({m} sts increased)", " (+{m} sts)", ". {m} sts inc'd",
                 " ({m} sts inc; {l} sts)", " - {m} sts increased", " ({m} st inc)"]  # fmt: skip
    if more < 0:
        ways += [" ({m} sts dec)", " ({m} sts decreased)", " (-{m} sts)", ". {m} sts dec'd",
                 " ({m} sts dec, {l} sts rem)", " - {m} sts decreased"]  # fmt: skip
    way = chance.choice(ways)
    return way.format(l=left, m=abs(more)), way
