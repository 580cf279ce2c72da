"""The one table."""

import math
import sys

from tests.bench.hearing.measure import SUBJECTS
from tests.bench.hearing.score import Score


def table(results, out=sys.stdout):
    """Prints the table: a block per subject, a line per condition."""
    for result in results:
        total = sum_of(result.scores.values())
        print(
            f"\n{SUBJECTS[result.key][0]}: loads in {result.load_s:.2f} s, "
            f"{result.resident_mb:.0f} MB resident, "
            f"real-time factor {total.busy_s / total.seconds:.3f}, "
            f"processor on silence {100 * result.idle:.1f} %",
            file=out,
        )
        print(
            f"  {'condition':22}{'said':>6}{'right':>8}{'interval':>10}{'wrong':>8}"
            f"{'refused':>9}{'asked':>8}"
            f"{'false/h':>9}{'withdrawn':>11}{'median':>9}{'95th':>8}",
            file=out,
        )
        for (kind, condition), one in result.scores.items():
            if kind == "commands":
                print(
                    f"  {condition:22}{one.said:6}{_share(one.right, one):>8}"
                    f"{_interval(one.right, one.said):>10}"
                    f"{_share(one.wrong, one):>8}{_share(one.refused, one):>9}"
                    f"{_share(one.asked, one):>8}{one.false:>7} n"
                    f"{one.withdrawn:>11}{_ms(one.wait(50)):>9}{_ms(one.wait(95)):>8}",
                    file=out,
                )
            else:
                print(
                    f"  {condition:22}{one.seconds / 60:5.1f}m{'':43}{one.per_hour:9.1f}"
                    f"{one.withdrawn:>11}   ({one.false} in {one.seconds / 60:.1f} min)",
                    file=out,
                )
        for name, one in result.by_voice.items():
            print(
                f"    {name:22} right {_share(one.right, one)}  wrong {_share(one.wrong, one)}",
                file=out,
            )
        if result.refusals:
            why = ", ".join(f"{r} {n}" for r, n in result.refusals.most_common())
            print(f"    refused: {why}", file=out)
        said = [one for one in result.scores.values() if one.said]
        if len(said) > 1:
            one = sum_of(said)
            print(
                f"  {'all':22}{one.said:6}{_share(one.right, one):>8}"
                f"{_interval(one.right, one.said):>10}{_share(one.wrong, one):>8}"
                f"{_share(one.refused, one):>9}{_share(one.asked, one):>8}",
                file=out,
            )


def sum_of(scores):
    """All of them together."""
    total = Score()
    for one in scores:
        total.add(one)
    return total


def interval(count, of, z=1.96):
    """The 95 % interval of a share (E. B. Wilson, "Probable inference, the law of succession, and
    statistical inference", Journal of the American Statistical Association 22, 1927).
    """
    share, more = count / of, z * z / of
    middle = (share + more / 2) / (1 + more)
    half = z * math.sqrt(share * (1 - share) / of + more / of / 4) / (1 + more)
    return middle - half, middle + half


def _interval(count, of):
    low, high = interval(count, of)
    return f"{100 * low:.0f}–{100 * high:.0f}"


def _share(count, one):
    return f"{100 * count / one.said:.1f}%" if one.said else "-"


def _ms(seconds):
    return "-" if math.isnan(seconds) else f"{1000 * seconds:.0f} ms"
