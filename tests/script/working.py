"""Small scripts to work by hand: a foundation, rows, and what the fabric is afterwards."""

from engine.plan.planning import read_gauge
from engine.script.builder import ScriptBuilder, op
from engine.script.fabric import Fabric
from engine.script.hands import work
from models.plan import Plan
from models.script import Craft, Direction, Hand, Kind, RowScript

__all__ = ["Piece", "op"]


class Piece:
    """A piece in work. Rows alternate by themselves; loop yarn unless told otherwise."""

    def __init__(self, loops: int = 0, craft: Craft = Craft.LOOP, hand: Hand = Hand.RIGHT) -> None:
        plan = Plan(design="x", title="X", gauge=read_gauge("5x5"), craft=craft, hand=hand)
        self.b = ScriptBuilder(plan)
        self.count: dict[str, int] = {}
        self.leftward = True
        if loops:
            self.b.step(
                "piece", Kind.FOUNDATION, op("co", loops), direction=Direction.LEFT_TO_RIGHT
            )

    def row(self, *operations, part="piece", leftward=None):
        """A flat row; the next one comes back."""
        if leftward is not None:
            self.leftward = leftward
        self.count[part] = self.count.get(part, 0) + 1
        needles = self.b.plan.craft is Craft.NEEDLES
        way = Direction.RIGHT_TO_LEFT if self.leftward else Direction.LEFT_TO_RIGHT
        self.b.step(
            part,
            Kind.ROW,
            *operations,
            row=self.count[part],
            direction=Direction.RIGHT_TO_LEFT if needles else way,
            side=("RS" if self.leftward else "WS") if needles else None,
        )
        self.leftward = not self.leftward
        return self

    def round(self, *operations, part="piece"):
        """A round."""
        self.count[part] = self.count.get(part, 0) + 1
        self.b.step(part, Kind.ROUND, *operations, row=self.count[part], direction=Direction.AROUND)
        return self

    def step(self, kind, *operations, part="piece", direction=None):
        """Any other step."""
        self.b.step(part, kind, *operations, direction=direction)
        return self

    def off(self, part="piece"):
        """Bind off what is live, fasten and finish."""
        self.step(Kind.BIND_OFF, op("bo", self.b.live - 1), op("fasten"), op("tail"), part=part)
        self.b.step(part, Kind.FINISH, note="Done")
        return self

    def script(self) -> RowScript:
        """The script so far."""
        return self.b.finish()

    def fabric(self) -> tuple[Fabric, list]:
        """The fabric so far, and each step's pulls."""
        fabric = Fabric(self.b.plan.hand)
        pulls = [work(fabric, step) for step in self.b.steps]
        return fabric, pulls
