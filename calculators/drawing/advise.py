"""What would help where a yard does not fit: each change is tried, and only what was found to fit is told as fitting."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

from calculators.drawing.arrange import SIDES, Arrangement, NoPlace, arrange, by_pattern, ground_of
from calculators.drawing.build import build
from calculators.drawing.checks import faults
from calculators.drawing.layout import Layout, Polygon
from calculators.drawing.polygons import area, bounds
from calculators.drawing.programme import Case, Programme

STEP_M = 1.0
LARGEST_PLOT_M = 400.0
MOST_STRETCHED = 2.0
"""A plot is made longer or wider by no more than so many times its longer side."""
PROPORTION = 1.5
"""Length of a plot to its width, where none is given."""
POSITIONS = (0.0, 0.5, 1.0)


@dataclass(frozen=True)
class Tried:
    """A change that was tried: which, how much of it (in the unit that ``what`` implies), and whether it then fits."""

    what: str
    amount: float | str | None
    fits: bool


@dataclass(frozen=True)
class Advice:
    """The plan to be shown: on the plot itself where all fits, else on the nearest plot that holds it; and what was tried."""

    fits: bool
    reason: str
    layout: Layout | None
    case: Case
    pattern: str
    tried: tuple[Tried, ...]


def whole_plot(width_m: float, length_m: float) -> Polygon:
    """A rectangular plot: its width runs east, its length north."""
    return ((0.0, 0.0), (width_m, 0.0), (width_m, length_m), (0.0, length_m))


@lru_cache(maxsize=48)
def advise(case: Case, plot_given: bool, narrowest_aisle_m: float) -> Advice:
    """The plan of a case, and where it does not fit what would help."""
    if not plot_given:
        return _without_plot(case)
    found = arrange(case)
    if isinstance(found, Arrangement):
        layout = build(case, found)
        wrong = faults(layout)
        if not wrong:
            return Advice(True, "", layout, case, found.pattern, ())
        found = NoPlace("an arrangement was found but does not hold: " + wrong[0])
    return _what_helps(case, found.reason, narrowest_aisle_m)


def _checked(case: Case) -> tuple[Layout, str] | None:
    """The plan by a pattern where there is one and nothing is wrong with it."""
    ground = ground_of(case)
    if isinstance(ground, NoPlace):
        return None
    found = by_pattern(case, ground)
    if found is None:
        return None
    layout = build(case, found)
    return None if faults(layout) else (layout, found.pattern)


def _fits(case: Case) -> bool:
    ground = ground_of(case)
    return not isinstance(ground, NoPlace) and by_pattern(case, ground) is not None


def least_that(holds: Callable[[float], bool], low: float, high: float, step: float) -> float | None:
    """The least multiple of ``step`` above ``low``, found by halving, at which ``holds``; ``None`` if it never does below ``high``."""
    reach = step
    while low + reach <= high and not holds(low + reach):
        reach *= 2
    if low + reach > high:
        if not holds(high):
            return None
        good, bad = high, low + reach / 2
    else:
        good, bad = low + reach, low + reach / 2 if reach > step else low
    while good - bad > step + 1e-9:
        middle = bad + step * round((good - bad) / step / 2)
        if middle >= good or middle <= bad:
            break
        if holds(middle):
            good = middle
        else:
            bad = middle
    return good


def _without_plot(case: Case) -> Advice:
    """The smallest plot of the usual proportion on which all fits."""
    side = case.gate_side in ("south", "north")

    def of(width: float) -> Case:
        deep = float(round(width * PROPORTION))
        return replace(case, plot=whole_plot(width, deep) if side else whole_plot(deep, width))

    start = max(1.0, int(_least_area(case.programme) ** 0.5 * 0.7))
    width = least_that(lambda at: _fits(of(at)), start, LARGEST_PLOT_M, STEP_M)
    if width is None:
        return Advice(False, "no plot up to the largest tried holds it", None, case, "", ())
    made = _checked(of(width))
    while made is None and width < LARGEST_PLOT_M:
        width += STEP_M
        made = _checked(of(width))
    if made is None:
        return Advice(False, "no plot up to the largest tried holds it", None, case, "", ())
    return Advice(True, "", made[0], of(width), made[1], ())


def _least_area(programme: Programme) -> float:
    """Floor that the bays and rooms take by themselves (m²): no plot can be smaller."""
    return (
        programme.bays * programme.bay_width_m * programme.bay_length_m + programme.leaf_store_m2 + programme.receiving_m2
        + programme.shredding_m2 + programme.screening_m2 + programme.product_store_m2 + programme.tools_washing_m2
        + programme.office_m2 + programme.worm_beds * programme.worm_bed_length_m * programme.worm_bed_width_m
    )  # fmt: skip


def _stretched(case: Case, wider: float, longer: float) -> Case:
    """The case on a plot that is larger by so many metres east and north; a plot of corner points is enlarged as a whole."""
    low_x, low_y, high_x, high_y = bounds(case.plot)
    over, up = (high_x - low_x + wider) / (high_x - low_x), (high_y - low_y + longer) / (high_y - low_y)
    plot = tuple((low_x + (x - low_x) * over, low_y + (y - low_y) * up) for x, y in case.plot)
    return replace(case, plot=plot)


def fewer_bays(programme: Programme, bays: int) -> Programme:
    """The programme with ``bays`` bays in all: each kind keeps its share, first-stage bays take what is left over."""
    whole = programme.bays
    kept = {kind: getattr(programme, f"{kind}_bays") * bays // whole for kind in ("spare", "reserve", "curing")}
    return replace(programme, first_stage_bays=bays - sum(kept.values()), spare_bays=kept["spare"], reserve_bays=kept["reserve"],
                   curing_bays=kept["curing"])  # fmt: skip


def _what_helps(case: Case, reason: str, narrowest_aisle_m: float) -> Advice:
    tried: list[Tried] = []
    programme, limits = case.programme, case.limits
    low_x, low_y, high_x, high_y = bounds(case.plot)
    room = area(case.plot)
    floor = _least_area(programme)
    for side in SIDES:
        for position in POSITIONS:
            if (side, position) == (case.gate_side, case.gate_position) or floor > room:
                continue
            other = replace(case, gate_side=side, gate_position=position)
            if _fits(other):
                tried.append(Tried("gate", f"{side}, {100 * position:g} %", True))
                break
        else:
            continue
        break
    else:
        tried.append(Tried("gate", None, False))
    if limits.aisle_m > narrowest_aisle_m + 1e-9:
        narrow = replace(case, limits=replace(limits, aisle_m=narrowest_aisle_m))
        tried.append(Tried("aisle", narrowest_aisle_m, floor < room and _fits(narrow)))
    if programme.leaf_store_m2 > 0:
        away = replace(case, programme=replace(programme, leaf_store_m2=0.0))
        tried.append(Tried("leaf_store", None, _fits(away)))
    if programme.bays > 1:
        tried.append(_bays_tried("bays", case))
        if programme.leaf_store_m2 > 0 and not tried[-2].fits:
            tried.append(_bays_tried("bays_without_leaf_store", replace(case, programme=replace(programme, leaf_store_m2=0.0))))
    options: list[tuple[float, float, float]] = []
    wide, long = high_x - low_x, high_y - low_y
    if case.plot == whole_plot(high_x, high_y):
        most = MOST_STRETCHED * max(wide, long)
        longer = least_that(lambda by: _fits(_stretched(case, 0.0, by)), 0.0, most, STEP_M)
        wider = least_that(lambda by: _fits(_stretched(case, by, 0.0)), 0.0, most, STEP_M)
        tried += [Tried("longer", longer, longer is not None), Tried("wider", wider, wider is not None)]
        options += [(longer * wide, 0.0, longer)] if longer is not None else []
        options += [(wider * long, wider, 0.0)] if wider is not None else []
    if not options:
        both = least_that(lambda by: _fits(_stretched(case, by, by * long / wide)), 0.0, LARGEST_PLOT_M, STEP_M)
        tried.append(Tried("both", both, both is not None))
        options += [(both * long, both, both * long / wide)] if both is not None else []
    for _, more_wide, more_long in sorted(options):
        grown = _stretched(case, more_wide, more_long)
        made = _checked(grown)
        if made is not None:
            return Advice(False, reason, made[0], grown, made[1], tuple(tried))
    return Advice(False, reason, None, case, "", tuple(tried))


def _bays_tried(what: str, case: Case) -> Tried:
    """How many bays fit, at most: one fewer first, then by halving."""
    programme = case.programme
    fewest = least_that(
        lambda less: _fits(replace(case, programme=fewer_bays(programme, programme.bays - int(less)))), 0, programme.bays - 1, 1
    )
    if fewest is None:
        return Tried(what, None, False)
    return Tried(what, float(programme.bays - int(fewest)), True)
