"""`spokenrow yarn DESIGN-OR-MAKE`: loops by part, balls to buy, where each ball runs out."""

import argparse
from collections.abc import Iterator, Mapping, Sequence

from counter.cli.arguments import number
from counter.cli.named import Named, add_named_arguments, find
from counter.shared.outward import tell, tell_json
from engine.advise import lots, scarce, yarn
from engine.advise.colours import order_lines
from engine.base import numbers
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.craft.stripes import read_balls
from engine.craft.swatch import read_swatch
from engine.make import answers
from engine.pattern.front import DYE_LOTS
from engine.plan.planning import script_for
from engine.script.twice import one_of_two, to_be_made
from engine.script.wording import counted
from engine.script.yarns import by_colour
from models.plan import Plan
from models.state import MakeState
from models.yarn import Purchase, YarnForecast


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("yarn", help="count the yarn, and the balls to buy")
    add_named_arguments(parser)
    parser.add_argument(
        "--reserve", type=number, default=10.0, help="per cent bought on top (default: 10)"
    )
    parser.add_argument(
        "--ball-grams", type=number, metavar="G", help="what a ball weighs, for buying by weight"
    )
    parser.add_argument("--swatch", help="a weighed swatch: '100 x 100 over 45 x 36 cm, 70 g'")
    parser.add_argument(
        "--ball-length", type=number, metavar="M", help="metres in a ball, to tell the length"
    )
    parser.add_argument(
        "--weighs", type=number, metavar="G", help="what the ball in work weighs on a scale now"
    )
    parser.add_argument(
        "--colour",
        action="append",
        default=[],
        metavar="PART=NAME",
        help="work a part in a colour; may be given again",
    )
    parser.add_argument(
        "--have",
        metavar="N",
        help="only N balls are to be had, or of each yarn ('cream 3, sand 2'): what to shorten",
    )
    parser.add_argument(
        "--join-at-ends", action="store_true", help="join each ball where a row begins"
    )
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Print the yarn of a design, or of a make from where it stands."""
    named = find(arguments)
    bought, metres = _bought(arguments, named)
    colours = by_colour(named.script)
    if arguments.colour:
        colours = yarn.per_colour(named.script, _colours(arguments.colour))
    ahead = _ahead(named, at_ends=arguments.join_at_ends)
    weighed = _weighed(arguments, named)
    held = arguments.lots or named.plan.lots
    if arguments.json:
        data = {
            "loops": named.script.yarn_loops,
            "parts": yarn.per_part(named.script),
            "colours": colours,
            "purchase": bought and bought.model_dump(),
            "metres": metres,
            "forecast": ahead.model_dump(),
            "left_by_weight": weighed,
            "lots": list(_lots(named, held)) if held else None,
        }
        tell_json(data)
        return 0
    lines = [
        *_totals(named, colours),
        *(() if held else _balls(named, bought, reserve=arguments.reserve)),
        *_measured(named, metres, weighed),
        *(_made_do(named, arguments.have) if arguments.have is not None else ()),
        *([DYE_LOTS] if bought and bought.balls > 1 and not held else ()),
        *(_lots(named, held) if held else ()),
        *(() if held else _run_outs(named, ahead, at_ends=arguments.join_at_ends)),
    ]
    for line in lines:
        tell(line)
    return 0


def _totals(named: Named, colours: Mapping[str, int]) -> Iterator[str]:
    for part, loops in yarn.per_part(named.script).items():
        yield f"{part:20}{loops:7}"
    yield f"{'in all':20}{named.script.yarn_loops:7}"
    if one := one_of_two(named.script):
        yield f"That is one {one}; what is to be bought is for two of them."
    for colour, loops in colours.items():
        yield f"{counted(loops, named.plan.craft)} in {colour}."


def _balls(named: Named, bought: Purchase | None, *, reserve: float) -> Iterator[str]:
    """Balls to buy: of each colour where the script has several; `reserve` in per cent."""
    if _several(named) and named.plan.ball_loops:
        yield from order_lines(named.script, named.plan.ball_loops, reserve / 100)
    elif bought:
        grams = f", {bought.grams:.0f} g" if bought.grams is not None else ""
        left = counted(bought.left_over, named.plan.craft)
        yield (
            f"Buy {some(bought.balls, 'ball')}{grams}: {reserve:g} % in reserve, {left} left at "
            "the end."
        )


def _measured(named: Named, metres: float | None, weighed: int | None) -> Iterator[str]:
    if metres is not None:
        yield f"{metres:.0f} m of yarn."
    if weighed is not None:
        left = counted(weighed, named.plan.craft)
        yield f"By its weight the ball in work has {left} left."


def _run_outs(named: Named, ahead: YarnForecast, *, at_ends: bool) -> Iterator[str]:
    """Where each ball ends, and what joining where rows begin costs."""
    if ahead.ball_left is None or _several(named):
        return
    craft = named.plan.craft
    for out in ahead.run_outs:
        yield answers.run_out(out, named.script, craft)
    yield f"{counted(ahead.left_over or 0, craft)} left over at the end."
    if at_ends:
        usual, wasted = _ahead(named), sum(out.wasted for out in ahead.run_outs)
        more = ahead.more_balls - usual.more_balls
        cost = f" and {some(more, 'ball')} more" if more else ""
        yield f"Joins where rows begin cost {counted(wasted, craft)} left on the balls{cost}."


def _several(named: Named) -> bool:
    """Whether its steps change the colour."""
    return len(by_colour(named.script)) > 1


def _made_do(named: Named, had: str) -> Iterator[str]:
    """What so many balls come to, a sentence each."""
    state = _stands(named)
    balls = numbers.whole(had) if had.strip().isdecimal() else read_balls(had)
    all_told = balls if isinstance(balls, int) else sum(balls.values())
    said = some(all_told, "ball")
    if not isinstance(balls, int):
        said = scarce.told(balls).removeprefix(": ")
    need, each = scarce.needed(state), scarce.told(scarce.by_yarn(state))
    if scarce.reach(state, balls):
        yield f"{said} of {state.ball_size} reach{each}.{scarce.for_one(state)}"
        return
    yield f"{said} do not reach: {need} are needed{each}.{scarce.for_one(state)}"
    found = scarce.shorter(state, balls)
    for one in found:
        loops = counted(one.loops, state.plan.craft)
        yield f"They do if you {one.does}: {one.cm:g} cm less{scarce.takes(one)}, {loops}."
    if not found:
        yield "No part alone can be shortened by so much: take a smaller size, or more balls."


def _lots(named: Named, balls: Sequence[int]) -> Iterator[str]:
    """What two dye lots in turn come to, from the beginning."""
    plan = named.plan
    if plan.ball_loops is None:
        raise Refusal("Two dye lots want the loops in a ball: give them with --ball.")
    script = script_for(plan.model_copy(update={"lots": None})) if plan.lots else named.script
    yield from lots.told(script, balls, plan.ball_loops)


def _ahead(named: Named, *, at_ends: bool = False) -> YarnForecast:
    """From where the make stands, or from the beginning."""
    return yarn.forecast(_stands(named), at_ends=at_ends)


def _stands(named: Named) -> MakeState:
    plan: Plan = named.plan
    return named.state or MakeState(plan=plan, script=named.script, ball_size=plan.ball_loops)


def _weighed(arguments: argparse.Namespace, named: Named) -> int | None:
    """Loops left on the ball in work by the kitchen scale."""
    if arguments.weighs is None:
        return None
    if named.plan.ball_loops is None or arguments.ball_grams is None:
        raise Refusal("A weighed ball wants --ball-grams, and loops per ball (--ball), beside it.")
    return yarn.left_by_weight(arguments.weighs, arguments.ball_grams, named.plan.ball_loops)


def _bought(arguments: argparse.Namespace, named: Named) -> tuple[Purchase | None, float | None]:
    """What to buy, and the length in metres, as far as the arguments tell."""
    loops, reserve = named.script.yarn_loops, arguments.reserve / 100
    loops *= to_be_made(named.script)
    ball, grams = named.plan.ball_loops, arguments.ball_grams
    swatch = read_swatch(arguments.swatch, arguments.unit) if arguments.swatch else None
    if swatch is None:
        if arguments.ball_length is not None:
            raise Refusal("A length wants a weighed --swatch and --ball-grams beside it.")
        if ball is None:
            return None, None
        if grams is not None:
            return yarn.purchase_by_weight(loops, grams / ball, grams, reserve), None
        return yarn.purchase(loops, ball, reserve), None
    if grams is None:
        raise Refusal("A weighed swatch wants --ball-grams beside it.")
    bought = yarn.purchase_by_weight(loops, yarn.grams_per_loop(swatch), grams, reserve)
    if arguments.ball_length is None:
        return bought, None
    return bought, loops * yarn.length_per_loop(swatch, arguments.ball_length, grams)


def _colours(said: list[str]) -> dict[str, str]:
    found = {}
    for pair in said:
        part, equals, colour = pair.partition("=")
        if not (equals and part.strip() and colour.strip()):
            raise Refusal(f"The colour {pair!r} is not understood: write part=colour.")
        found[part.strip()] = colour.strip()
    return found
