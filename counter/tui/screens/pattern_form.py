"""A written pattern that was read: what was understood and what not, which size, whose gauge."""

from __future__ import annotations

from collections import Counter

from textual.app import ComposeResult
from textual.content import Content

from counter.shared.pasted import open_lines, plan_of_pasted, read_pasted, settle
from counter.tui.screens.form import PlanForm, question
from counter.tui.widgets.tape import drawing
from counter.tui.widgets.words import Field, Fold, Pick, Text
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.plan.planning import read_gauge
from models.pattern import Fault, PatternCheck, Severity
from models.plan import Plan

_KINDS = (("row", "row"), ("sentence", "sentence"), ("step", "step"), ("heading", "heading"))
_IS, _TALK = "=", "\0"
"""Answers to a line that was not read: it is this line; it is talk."""
_FIRST = 12
"""Findings that are shown at once; the rest is folded."""


class PatternForm(PlanForm):
    """What was read of a pattern, and what may be chosen in it."""

    heading = "A written pattern"

    def __init__(self, text: str, name: str, checked: PatternCheck) -> None:
        """`name` is its title where the text has none."""
        super().__init__()
        self._text, self._called, self._checked = text, name, checked
        self._pasted = text
        self._open = open_lines(checked)
        """Lines that were not read, each with a question of its own."""

    def questions(self) -> ComposeResult:
        """What was read first, then the choices."""
        yield Text(self._summary(), id="read", classes="below")
        findings = [_told(fault) for fault in self._checked.faults]
        if findings:
            yield Text("\n".join(findings[:_FIRST]), id="findings")
        if len(findings) > _FIRST:
            with Fold(f"{len(findings) - _FIRST} more"):
                yield Text("\n".join(findings[_FIRST:]))
        for index, line in enumerate(self._open):
            readings = [(reading, f"{_IS}{reading}") for reading in line.nearest]
            yield from question(
                f"Line {line.line}",
                line.text,
                Pick(
                    [("left as it is", ""), *readings, ("it is talk", _TALK)],
                    value="",
                    id=f"line-{index}",
                ),
            )
        with Fold("Every line, and what it was taken for"):
            yield Text("\n".join(self._lines()), id="lines")
        sizes = self._checked.sizes
        if len(sizes) > 1:
            yield from question(
                "Size",
                "One of the pattern's own, as it is written there.",
                Pick([(size, size) for size in sizes], value=sizes[0], id="size"),
            )
        yield from question(
            "Gauge",
            "Yours, if it is not the pattern's: loops x rows per 10 cm.",
            Field("", placeholder="its own", id="gauge"),
            drawing("gauge"),
        )

    def on_select_changed(self, event: Pick.Changed) -> None:
        """A line that was not read is settled: the pattern is read anew."""
        if (event.select.id or "").startswith("line-"):
            self._settle()
        super().on_select_changed(event)

    def _settle(self) -> None:
        picked = [str(self.query_one(f"#line-{n}", Pick).value) for n in range(len(self._open))]
        meant = [one.removeprefix(_IS).strip(_TALK) if one else None for one in picked]
        try:
            text = settle(self._pasted, zip(self._open, meant, strict=True))
        except Refusal as refusal:
            self._say(outlook="", refusal=str(refusal))
            return
        if text == self._text:
            return
        self._text, self._checked = text, read_pasted(text)
        self.query_one("#read", Text).update(self._summary())
        findings = [_told(fault) for fault in self._checked.faults]
        self.query_one("#findings", Text).update("\n".join(findings[:_FIRST]))
        self.query_one("#lines", Text).update("\n".join(self._lines()))

    def _summary(self) -> Content:
        kinds = Counter[str](line.taken_as for line in self._checked.lines)
        said = [some(kinds[kind], word) for kind, word in _KINDS if kinds[kind]]
        told = f"Read: {', '.join(said) or 'nothing that is worked'}."
        if kinds["prose"]:
            told += f" {some(kinds['prose'], 'line')} taken for talk."
        missed = sum(fault.severity is Severity.UNREAD for fault in self._checked.faults)
        lost = f" {some(missed, 'line')} not understood." if missed else " Nothing is left over."
        return Content.assemble((told, "bold"), (lost, "bold $error" if missed else "bold"))

    def _lines(self) -> list[str]:
        return [
            f"{line.line:4}  {line.taken_as:8}  {line.text}{f'  ({line.why})' if line.why else ''}"
            for line in self._checked.lines
        ]

    def plan(self) -> Plan:
        """The plan that the answers ask for. Raises Refusal."""
        gauge = self.text("gauge")
        sizes = self._checked.sizes
        size = str(self.query_one("#size", Pick).value) if len(sizes) > 1 else ""
        return plan_of_pasted(
            self._text,
            self._called,
            size=size,
            gauge=read_gauge(gauge) if gauge else None,
            hand=self.hand,
            ball_loops=self.ball_loops,
        )


def _told(fault: Fault) -> str:
    mark = {Severity.UNREAD: "?", Severity.WARNING: "•"}.get(fault.severity, "✗")
    return f"{mark} line {fault.sentence()}"
