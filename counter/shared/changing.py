"""A make changed midway: what is asked, and what it means before anything is changed."""

from __future__ import annotations

from counter.shared.interview import UNITS, Interview, Question, bounds_told
from counter.shared.telling import in_unit
from engine.advise import midway
from engine.advise.replan import Wishes
from engine.base.refusal import Refusal
from engine.designs import DESIGNS, design
from engine.make import answers
from engine.make.decisions import change
from models.plan import MeasureSpec
from models.state import MakeState, Tone

_GAUGE, _SIZE = "the gauge", "the size"


class Changing(Interview):
    """What has been answered so far of what changes in a make."""

    state: MakeState

    def questions(self) -> list[Question]:
        """What changes, to what, and whether to do it."""
        found = [Question(name="what", asks="What has changed?", options=self._options)]
        what, plan = self._what, self.state.plan
        if what == _GAUGE:
            for told, side in zip(("loops", "rows"), self._gauge, strict=True):
                asks = f"How many {told} in 10 cm? So far {side:g}: say yes, or the number."
                found.append(Question(name=f"{told} in 10 cm", asks=asks, usual=side))
        elif what == _SIZE:
            asks = f"Which size? So far {plan.size or 'none'}."
            found.append(Question(name="size", asks=asks, options=midway.sizes(plan)))
        elif spec := self._spec:
            cm = plan.measures.get(spec.name)
            far = "" if cm is None else f" So far {cm / self.unit.cm:.4g}."
            asks = f"{spec.label}, in {UNITS[self.unit]}?{far} {spec.why}"
            found.append(Question(name=spec.label, asks=asks, length=True))
        given = dict(self.answers)
        if what and all(one.name in given for one in found):
            found.append(
                Question(name="change", asks=self._outlook(), yes_no=True, details=self._lines())
            )
        return found

    def misfit(self, now: Question, value: float) -> str:
        """Why a number is no answer, a sentence; empty where it is one."""
        spec = self._spec
        asked = spec is not None and spec.label == now.name
        return bounds_told(spec, value, self.unit) if asked and spec else ""

    def proven(self) -> None:
        """Raises Refusal where nothing sound comes of the answers."""
        reply = change(self.state, self.why, 0.0, **self.wishes())
        if reply.tone is not Tone.ASK:
            raise Refusal(reply.say)

    @property
    def why(self) -> str:
        """What changes, a clause for the journal: `gauge 5.4 x 3.75`, `body height 44 cm`."""
        wishes = self.wishes()
        if gauge := wishes.get("gauge"):
            return f"gauge {gauge[0]:.4g} x {gauge[1]:.4g}"
        if size := wishes.get("size"):
            return f"size {size}"
        label = self._spec.label if self._spec else ""
        cm = next(iter((wishes.get("measures") or {}).values()))
        return f"{label[:1].lower()}{label[1:]} {cm:.4g} cm"

    def wishes(self) -> Wishes:
        """What the re-plan is asked for, in cm."""
        given, plan = dict(self.answers), self.state.plan
        if self._what == _GAUGE:
            exact = plan.gauge.loops_per_10cm, plan.gauge.rows_per_10cm
            loops, rows = (
                old if given[f"{told} in 10 cm"] == usual else given[f"{told} in 10 cm"]
                for told, usual, old in zip(("loops", "rows"), self._gauge, exact, strict=True)
            )
            return Wishes(gauge=(loops, rows))
        if self._what == _SIZE:
            size = midway.sizes(plan)[int(given["size"]) - 1]
            return Wishes(size=size, measures=midway.sized(plan, size))
        assert self._spec is not None
        return Wishes(measures={self._spec.name: given[self._spec.label] * self.unit.cm})

    def _outlook(self) -> str:
        return in_unit(change(self.state, self.why, 0.0, **self.wishes()).say, self.unit)

    def _lines(self) -> tuple[str, ...]:
        try:
            found = midway.of(self.state, self.why, **self.wishes())
        except Refusal:
            return ()
        return tuple(in_unit(line, self.unit) for line in answers.midway_lines(found, self.state))

    @property
    def _gauge(self) -> tuple[float, float]:
        gauge = self.state.plan.gauge
        return round(gauge.loops_per_10cm, 2), round(gauge.rows_per_10cm, 2)

    @property
    def _options(self) -> tuple[str, ...]:
        size = (_SIZE,) if len(midway.sizes(self.state.plan)) > 1 else ()
        return (_GAUGE, *size, *(spec.label for spec in self._measures))

    @property
    def _measures(self) -> tuple[MeasureSpec, ...]:
        name = self.state.plan.design
        return design(name).info.measures if name in DESIGNS else ()

    @property
    def _what(self) -> str:
        place = int(dict(self.answers).get("what", 0))
        return self._options[place - 1] if place else ""

    @property
    def _spec(self) -> MeasureSpec | None:
        return next((s for s in self._measures if s.label == self._what), None)
