"""Sizes that grow: a size is worked out after all smaller ones of its table, and none goes back.

Whole loops round up in one size and down in the next. So each size has several sets of counts to
choose from, and takes the nearest that is nowhere smaller than the size before.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TypeVar

from engine.craft.sizes import table_of
from models.plan import Plan

T = TypeVar("T")


def smaller_plans(plan: Plan, defaults: Callable[[str], Mapping[str, float]]) -> Iterator[Plan]:
    """The plan in each smaller size of its table, from the smallest.

    Measurements of the maker's own stay; what is decided or worked is this size's alone.
    """
    table = table_of(plan.size)
    if not table:
        return
    usual = defaults(plan.size)
    own = {name: cm for name, cm in plan.measures.items() if usual.get(name) != cm}
    for size in table:
        if size == plan.size:
            return
        yield plan.model_copy(
            update={
                "size": size,
                "measures": {**defaults(size), **own},
                "rows": {},
                "counts": {},
                "worked": {},
                "worked_rows": {},
            }
        )


def never_less(
    plan: Plan,
    defaults: Callable[[str], Mapping[str, float]],
    tried: Callable[[Plan], Iterable[tuple[float, T]]],
    grows: Callable[[T], tuple[float, ...]],
) -> T | None:
    """The cheapest set of counts whose measures do not go back behind the smaller sizes'.

    `tried` gives sets with what each costs, `grows` the measures of one that must not go back.
    None where nothing can be tried. Where none is large enough the cheapest is taken.
    """
    before: tuple[float, ...] = ()
    found: T | None = None
    for sized in (*smaller_plans(plan, defaults), plan):
        sets = sorted(tried(sized), key=lambda one: one[0])
        large = (
            one for _, one in sets if all(a >= b for a, b in zip(grows(one), before, strict=False))
        )
        found = next(large, sets[0][1] if sets else None)
        before = grows(found) if found is not None else before
    return found
