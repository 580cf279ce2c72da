"""The stitches and handlings a row is made of, by their standard abbreviations.

`takes`, `leaves` and `yarn` are loops for one time: how many live loops of the row below it
uses up, how many it leaves live, and how many loops of working yarn it pulls in. The
abbreviations of the stitches are the Craft Yarn Council's master list (from memory); those of
the handlings (`rest`, `resume`, …) are ours, for what a written pattern says in a sentence.
"""

from models.frozen import Frozen


class Stitch(Frozen):
    """One line of the table."""

    name: str
    takes: int
    leaves: int
    yarn: int
    regroups: bool = False
    """Moves loops between the working row and a resting place; makes none, uses none."""


STITCHES: dict[str, Stitch] = {
    # made from the row below
    "k": Stitch(name="knit", takes=1, leaves=1, yarn=1),
    "p": Stitch(name="purl", takes=1, leaves=1, yarn=1),
    "k tbl": Stitch(name="knit through the back", takes=1, leaves=1, yarn=1),
    "p tbl": Stitch(name="purl through the back", takes=1, leaves=1, yarn=1),
    "work": Stitch(name="work in pattern", takes=1, leaves=1, yarn=1),
    "sl": Stitch(name="slip", takes=1, leaves=1, yarn=0),
    "sl kwise": Stitch(name="slip knitwise", takes=1, leaves=1, yarn=0),
    "sl pwise": Stitch(name="slip purlwise", takes=1, leaves=1, yarn=0),
    "sl wyif": Stitch(name="slip with yarn in front", takes=1, leaves=1, yarn=0),
    "sl wyib": Stitch(name="slip with yarn in back", takes=1, leaves=1, yarn=0),
    # decreases
    "k2tog": Stitch(name="knit 2 together", takes=2, leaves=1, yarn=1),
    "p2tog": Stitch(name="purl 2 together", takes=2, leaves=1, yarn=1),
    "ssk": Stitch(name="slip, slip, knit together", takes=2, leaves=1, yarn=1),
    "ssp": Stitch(name="slip, slip, purl together", takes=2, leaves=1, yarn=1),
    "k3tog": Stitch(name="knit 3 together", takes=3, leaves=1, yarn=1),
    "p3tog": Stitch(name="purl 3 together", takes=3, leaves=1, yarn=1),
    "k4tog": Stitch(name="knit 4 together", takes=4, leaves=1, yarn=1),
    "p4tog": Stitch(name="purl 4 together", takes=4, leaves=1, yarn=1),
    "k5tog": Stitch(name="knit 5 together", takes=5, leaves=1, yarn=1),
    "p5tog": Stitch(name="purl 5 together", takes=5, leaves=1, yarn=1),
    "k2tog tbl": Stitch(name="knit 2 together through the back", takes=2, leaves=1, yarn=1),
    "p2tog tbl": Stitch(name="purl 2 together through the back", takes=2, leaves=1, yarn=1),
    "k3tog tbl": Stitch(name="knit 3 together through the back", takes=3, leaves=1, yarn=1),
    "p3tog tbl": Stitch(name="purl 3 together through the back", takes=3, leaves=1, yarn=1),
    "sssk": Stitch(name="slip 3, knit them together", takes=3, leaves=1, yarn=1),
    "sssp": Stitch(name="slip 3, purl them together", takes=3, leaves=1, yarn=1),
    "dec": Stitch(name="decrease", takes=2, leaves=1, yarn=1),
    "psso": Stitch(name="pass the slipped loop over", takes=0, leaves=-1, yarn=0),
    # increases
    "yo": Stitch(name="yarn over", takes=0, leaves=1, yarn=1),
    "m1": Stitch(name="make 1", takes=0, leaves=1, yarn=1),
    "m1l": Stitch(name="make 1 left", takes=0, leaves=1, yarn=1),
    "m1r": Stitch(name="make 1 right", takes=0, leaves=1, yarn=1),
    "m1p": Stitch(name="make 1 purl", takes=0, leaves=1, yarn=1),
    "kfb": Stitch(name="knit front and back", takes=1, leaves=2, yarn=2),
    "pfb": Stitch(name="purl front and back", takes=1, leaves=2, yarn=2),
    "inc": Stitch(name="increase", takes=1, leaves=2, yarn=2),
    **{
        f"1 into {n}": Stitch(name=f"work {n} into one loop", takes=1, leaves=n, yarn=n)
        for n in range(2, 10)
    },
    # beginnings and ends
    "co": Stitch(name="lay on", takes=0, leaves=1, yarn=1),
    "pick up": Stitch(name="pick up", takes=0, leaves=1, yarn=1),
    "bo": Stitch(name="bind off", takes=1, leaves=0, yarn=0),
    "3nbo": Stitch(name="three-needle bind off", takes=2, leaves=0, yarn=1),
    "seam": Stitch(name="chain together", takes=1, leaves=0, yarn=0),
    "fasten": Stitch(name="fasten the last loop", takes=1, leaves=0, yarn=0),
    # the yarn's ends: two loops each, cut open and woven in later (common practice, no source)
    "tail": Stitch(name="leave a tail", takes=0, leaves=0, yarn=2),
    "join": Stitch(name="join the yarn", takes=0, leaves=0, yarn=2),
    # handlings that only move loops about; `at` names the resting place
    "rest": Stitch(name="rest", takes=0, leaves=0, yarn=0, regroups=True),
    "resume": Stitch(name="take up", takes=0, leaves=0, yarn=0, regroups=True),
    "pair": Stitch(name="pair front and back", takes=0, leaves=0, yarn=0, regroups=True),
    # no loops at all
    "pm": Stitch(name="place a marker", takes=0, leaves=0, yarn=0),
    "sm": Stitch(name="slip the marker", takes=0, leaves=0, yarn=0),
    "rm": Stitch(name="remove the marker", takes=0, leaves=0, yarn=0),
}
