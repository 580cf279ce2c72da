"""The one table."""

import math
import sys

from tests.bench.hearing.measure import SUBJECTS
from tests.bench.hearing.score import Score


def table(results, out=sys.stdout):
    """Prints the table: a block per subject, a line per condition."""
    for key, scores, by_voice, load_s, resident, idle, refusals in results:
        total = Score()
        for one in scores.values():
            total.add(one)
        print(
            f"\n{SUBJECTS[key][0]}: loads in {load_s:.2f} s, {resident:.0f} MB resident, "
            f"real-time factor {total.busy_s / total.seconds:.3f}, "
            f"processor on silence {100 * idle:.1f} %",
            file=out,
        )
        print(
            f"  {'condition':22}{'said':>6}{'right':>8}{'wrong':>8}{'refused':>9}{'asked':>8}"
            f"{'false/h':>9}{'withdrawn':>11}{'median':>9}{'95th':>8}",
            file=out,
        )
        for (kind, condition), one in scores.items():
            if kind == "commands":
                print(
                    f"  {condition:22}{one.said:6}{_share(one.right, one):>8}"
                    f"{_share(one.wrong, one):>8}{_share(one.refused, one):>9}"
                    f"{_share(one.asked, one):>8}{one.false:>7} n"
                    f"{one.withdrawn:>11}{_ms(one.wait(50)):>9}{_ms(one.wait(95)):>8}",
                    file=out,
                )
            else:
                print(
                    f"  {condition:22}{one.seconds / 60:5.1f}m{'':33}{one.per_hour:9.1f}"
                    f"{one.withdrawn:>11}   ({one.false} in {one.seconds / 60:.1f} min)",
                    file=out,
                )
        for name, one in by_voice.items():
            print(
                f"    {name:22} right {_share(one.right, one)}  wrong {_share(one.wrong, one)}",
                file=out,
            )
        if refusals:
            print(
                "    refused: " + ", ".join(f"{r} {n}" for r, n in refusals.most_common()), file=out
            )


def _share(count, one):
    return f"{100 * count / one.said:.1f}%" if one.said else "-"


def _ms(seconds):
    return "-" if math.isnan(seconds) else f"{1000 * seconds:.0f} ms"
