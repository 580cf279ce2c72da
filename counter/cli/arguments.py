"""Arguments that several commands share: which make is meant, and in which measurements."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from counter.shared.settings import Asked
from engine.base import numbers
from engine.base.numbers import CM_PER_INCH, Length
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.ears.guard import Sensitivity
from engine.plan.planning import DEFAULT_GAUGE, in_lots, make_plan, read_gauge, usual_gauge
from engine.words.grammar import attention
from engine.words.vocabulary import languages
from models.plan import Plan
from models.script import Craft, Hand

T = TypeVar("T")


def number(text: str) -> float:
    """A number as people type it; argparse turns the error into its sentence."""
    return _read(numbers.number, text)


def whole(text: str) -> int:
    """A whole number, likewise."""
    return _read(numbers.whole, text)


def length(text: str) -> Length:
    """A length, with a unit of its own or without."""
    return _read(numbers.length, text)


def _read(read: Callable[[str], T], text: str) -> T:
    try:
        return read(text)
    except Refusal as refusal:
        raise argparse.ArgumentTypeError(str(refusal)) from None


def add_plan_arguments(parser: argparse.ArgumentParser, or_make: str = "") -> None:
    """The design, size, gauge and every measurement that some design asks for.

    `or_make` tells in the help what else the first argument may name.
    """
    parser.add_argument("design", help=f"{or_make}a pattern file, or one of: {', '.join(DESIGNS)}")
    parser.add_argument(
        "--size",
        default="",
        help="a size of its table: XS to 5X, 'men M', 2 to 16; S to XL for heads, hands, feet",
    )
    parser.add_argument(
        "--gauge",
        default=DEFAULT_GAUGE,
        help="loops x rows per 10 cm, or over what: '20 x 26 / 4in' (default: %(default)s)",
    )
    parser.add_argument("--craft", choices=[craft.value for craft in Craft], default=None)
    parser.add_argument("--hand", choices=[hand.value for hand in Hand], default="right")
    parser.add_argument("--ball", type=whole, metavar="LOOPS", help="loops in one ball")
    parser.add_argument("--scale", type=number, default=1.0, help="0.5 for a half-size practice")
    parser.add_argument(
        "--stitch", default="", help="a stitch pattern; 'stitches' lists them; or a file of yours"
    )
    parser.add_argument(
        "--stripes",
        default="",
        help="colours and rows: 'cream 8, sand 4', or blocks 'cream | sand 20'",
    )
    parser.add_argument(
        "--lots",
        type=whole,
        nargs=2,
        metavar=("N", "M"),
        help="balls of two dye lots: they take turns every two rows, and the steps say when",
    )
    parser.add_argument(
        "--loops",
        metavar="LIST",
        help="worked from numbers of loops: 'foundation 42, front 9 to 5 over 8, bind 4, back 18, "
        "sleeve 25 to 15'",
    )
    parser.add_argument("--unit", choices=["cm", "in"], default="cm", help="unit of measurements")
    add_measure_arguments(parser)


def add_measure_arguments(parser: argparse.ArgumentParser) -> None:
    """Every measurement that some design asks for, as `measure_NAME`."""
    measures = parser.add_argument_group("measurements")
    seen: dict[str, list[str]] = {}
    for chosen in DESIGNS.values():
        for spec in chosen.info.measures:
            seen.setdefault(spec.name, [spec.why]).append(chosen.info.name)
    for name, (why, *designs) in seen.items():
        measures.add_argument(
            f"--{name.replace('_', '-')}",
            dest=f"measure_{name}",
            type=length,
            metavar="LENGTH",
            help=f"{why} ({', '.join(designs)})",
        )


def add_ears_arguments(parser: argparse.ArgumentParser) -> None:
    """Which voice model listens to which words, and how readily; the settings say what is not."""
    parser.add_argument(
        "--model", type=Path, metavar="DIR", help="a Vosk model folder instead of those found here"
    )
    add_language_argument(parser)
    parser.add_argument(
        "--sensitivity",
        choices=[choice.value for choice in Sensitivity],
        help="how readily a word is taken (default: as in the settings)",
    )
    parser.add_argument(
        "--attention",
        action=argparse.BooleanOptionalAction,
        help=f"take a command only after “{' '.join(attention())}”",
    )
    parser.add_argument(
        "--mine",
        action=argparse.BooleanOptionalAction,
        help="take a command only in your own voice, as you rehearsed it or as you begin",
    )
    parser.add_argument("--person", metavar="NAME", help="go by this person's rehearsed voice")


def add_language_argument(parser: argparse.ArgumentParser) -> None:
    """Whose words are meant."""
    parser.add_argument(
        "--language",
        choices=languages(),
        help="the language of the words (default: as in the settings)",
    )


def asked_by(arguments: argparse.Namespace) -> Asked:
    """What the arguments ask of the ears."""
    given = {name: getattr(arguments, name, None) for name in Asked.model_fields}
    return Asked.model_validate(given)


def ears_flags(arguments: argparse.Namespace) -> list[str]:
    """The same arguments again, for a command line of our own."""
    given = asked_by(arguments).model_dump(mode="json", exclude_none=True)
    if arguments.model is not None:
        given["model"] = str(arguments.model)
    flags: list[str] = []
    for name, value in given.items():
        if isinstance(value, bool):
            flags.append(f"--{name}" if value else f"--no-{name}")
        else:
            flags.append(f"--{name}={value}")
    return flags


def plan_from(arguments: argparse.Namespace) -> Plan:
    """The plan that the arguments ask for. Raises Refusal, naming what to change."""
    plan = _plan_from(arguments)
    return in_lots(plan, tuple(arguments.lots)) if arguments.lots else plan


def _plan_from(arguments: argparse.Namespace) -> Plan:
    if arguments.design not in DESIGNS and Path(arguments.design).is_file():
        return _written(arguments)
    if arguments.loops is not None:
        return _listed(arguments, arguments.loops, arguments.design)
    per_unit = CM_PER_INCH if arguments.unit == "in" else 1.0
    given = {
        name.removeprefix("measure_"): value.cm(per_unit)
        for name, value in vars(arguments).items()
        if name.startswith("measure_") and value is not None
    }
    own = ""
    if arguments.stitch and Path(arguments.stitch).is_file():
        from counter.shared.written import pattern_text  # reading is slow to load

        own = pattern_text(Path(arguments.stitch))
    gauge = arguments.gauge
    if gauge == DEFAULT_GAUGE and arguments.design in DESIGNS:
        gauge = usual_gauge(arguments.design)
    try:
        return make_plan(
            arguments.design,
            read_gauge(gauge),
            size=arguments.size,
            given=given,
            craft=Craft(arguments.craft) if arguments.craft else None,
            hand=Hand(arguments.hand),
            ball_loops=arguments.ball,
            scale=arguments.scale,
            stitch=Path(arguments.stitch).stem[:60] if own else arguments.stitch,
            stitch_text=own,
            stripes=arguments.stripes,
        )
    except Refusal:
        raise
    except ValueError as error:
        raise Refusal(f"These measurements make no plan: {error}.") from error


def _listed(arguments: argparse.Namespace, text: str, design: str) -> Plan:
    """The plan of a list of numbers; measurements of its own would say the same twice."""
    for name, value in vars(arguments).items():
        if name.startswith("measure_") and value is not None:
            asked = name.removeprefix("measure_").replace("_", "-")
            raise Refusal(f"A list of loops decides the measurements: leave --{asked} out.")
    from engine.plan.listed.garment import plan_of_list  # the app's start does without

    return plan_of_list(
        text,
        design,
        size=arguments.size,
        gauge=None if arguments.gauge == DEFAULT_GAUGE else read_gauge(arguments.gauge),
        craft=Craft(arguments.craft) if arguments.craft else None,
        hand=Hand(arguments.hand),
        ball_loops=arguments.ball,
    )


def _written(arguments: argparse.Namespace) -> Plan:
    """The plan of a pattern file; its own gauge, unless another than the usual one is given."""
    from counter.shared.written import pattern_text  # reading is slow to load
    from engine.pattern.make import plan_from_text, stated_gauge
    from engine.plan.listed.garment import GARMENTS, is_list

    text, given = pattern_text(Path(arguments.design)), arguments.gauge
    if arguments.loops is not None:
        raise Refusal("Give a pattern file or --loops, not both.")
    if is_list(text):
        return _listed(arguments, text, GARMENTS[0])
    own = given == DEFAULT_GAUGE and stated_gauge(text) is not None
    return plan_from_text(
        text,
        Path(arguments.design).stem,
        size=arguments.size,
        gauge=None if own else read_gauge(given),
        hand=Hand(arguments.hand),
        ball_loops=arguments.ball,
    )
