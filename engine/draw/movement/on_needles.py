"""What needles do, in words: the small drawings are of loops that hands pull, and not of these.

Said for either hand: one needle holds the work, the other is the free one. (Common practice, no
source.)
"""

from models.movement import Movement, Stage


def _movement(key: str, title: str, *sentences: str) -> Movement:
    stages = tuple(Stage(sentence=said, strands=()) for said in sentences)
    return Movement(key=key, title=title, stages=stages)


ON_NEEDLES: dict[str, Movement] = {
    one.key: one
    for one in (
        _movement(
            "foundation",
            "Cast on",
            "For an edge: leave an end three times as long, then put a slip knot on the needle. It "
            "counts.",
            "The end lies around the thumb, the yarn over a finger: draw the yarn through the "
            "thumb's loop.",
            "Within a row: twist the yarn to a loop, put it on the free needle, draw it close.",
        ),
        _movement(
            "knit",
            "Knit",
            "The yarn hangs behind. Put the free needle into the next stitch from the front.",
            "Lay the yarn around its tip and draw it through to the front.",
            "Let the old stitch slip off its needle.",
        ),
        _movement(
            "purl",
            "Purl",
            "The yarn hangs in front. Put the free needle into the next stitch from behind.",
            "Lay the yarn around its tip and push it through to the back.",
            "Let the old stitch slip off its needle.",
        ),
        _movement(
            "k2tog",
            "Knit two together",
            "The yarn hangs behind. Put the free needle into the next two at once, as if to knit.",
            "Draw the yarn through both, and let both slip off: the second lies on the first.",
        ),
        _movement(
            "p2tog",
            "Purl two together",
            "The yarn hangs in front. Put the free needle into the next two at once, as if to "
            "purl.",
            "Push the yarn through both to the back, and let both slip off.",
        ),
        _movement(
            "ssk",
            "Slip, slip, knit",
            "Slip two, one by one, as if to knit.",
            "Knit both together through their backs: the first lies on the second.",
        ),
        _movement(
            "m1l",
            "Make one left",
            "Lift the strand before the next stitch from the front, on to the needle that holds "
            "the work.",
            "Knit it through its back, so that it is twisted and leaves no hole.",
        ),
        _movement(
            "m1r",
            "Make one right",
            "Lift the strand before the next stitch from behind, on to the needle that holds the "
            "work.",
            "Knit it through its front, so that it is twisted and leaves no hole.",
        ),
        _movement(
            "kfb",
            "Knit into the front and the back",
            "Knit the next stitch, and leave it on its needle.",
            "Knit it once more through its back, then let it slip off: two of one.",
        ),
        _movement(
            "yo",
            "Yarn over",
            "Lay the yarn over the free needle from the front to the back.",
            "Work the next stitch: the yarn that lies over stays as a stitch, with a hole below.",
        ),
        _movement(
            "sl",
            "Slip",
            "Pass the next stitch to the free needle as if to purl, so that it is not twisted.",
            "The yarn is not used; do not draw it tight behind.",
        ),
        _movement(
            "pick up",
            "Pick up and knit",
            "The right side faces you. Put the needle through the edge to the back.",
            "Lay the yarn around its tip and draw it through to the front: one stitch.",
        ),
        _movement(
            "bind off",
            "Bind off",
            "Work two stitches.",
            "Lift the first over the second and off the needle; work one more, and so on.",
            "Through the last one draw the cut end.",
        ),
        _movement(
            "shoulder",
            "Bind off two edges together",
            "Both needles lie side by side. Put a third into the first stitch of each.",
            "Knit the two together; do the same with the next two.",
            "Lift the first over the second and off; so on to the end.",
        ),
        _movement(
            "graft",
            "Graft",
            "Both needles lie side by side, right sides out, the end on a blunt needle for sewing.",
            "In front: through the first as if to knit, off; through the next as if to purl.",
            "Behind: through the first as if to purl, off; through the next as if to knit. In "
            "turn.",
        ),
        _movement(
            "join",
            "Join yarn",
            "Leave an end behind the work that can be woven in.",
            "Work the next stitch with the new yarn, and hold its end for the first few.",
        ),
        _movement(
            "tail",
            "Cut and weave in",
            "Cut the yarn, and draw its end through the last stitch where nothing goes on.",
            "With a blunt needle weave it in behind the work, one way and back.",
        ),
    )
}
