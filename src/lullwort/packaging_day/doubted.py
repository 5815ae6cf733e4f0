"""Gravity and strength of a batch with all that its sensor may be wrong by, also what only its hours tell."""

from __future__ import annotations

from contextlib import suppress

from lullwort.detector import Snapshot
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day.doubts import Doubts
from lullwort.packaging_day.present import gravities_so_far, gravity_known
from lullwort.packaging_day.strength import strength_figures
from lullwort.packaging_day.uncertain import Estimate

__all__ = ["figures_doubted", "gravity_doubted", "is_untold"]


def is_untold(seen: Snapshot, doubts: Doubts) -> bool:
    """Whether nobody knows the beer's gravity, for its sensor repeats itself, and none is known from before the
    cold."""
    return seen.frozen or (doubts.stands_us is not None and seen.warm_gravity == seen.gravity)


def gravity_doubted(seen: Snapshot, points: float | None, doubts: Doubts) -> Estimate | None:
    """`points` of the beer, by the sensor as it is mended, with its range; None where that is not known."""
    if points is None or seen.lost or is_untold(seen, doubts):
        return None
    return gravity_known(seen, points, doubts.less, doubts.more)


def figures_doubted(seen: Snapshot, doubts: Doubts) -> dict[str, Estimate]:
    """Of strength, see `figures_of`: each holds what it would be by a gravity that is as far off as it may be. None
    where a gravity is not known, or no formula covers it.

    What pressure may do is in `Snapshot.gravity_sd` already.
    """
    gravities = None if is_untold(seen, doubts) else gravities_so_far(seen)
    if gravities is None:
        return {}
    try:
        figures = strength_figures(gravities)
    except OutOfRangeError:
        return {}
    for by in (doubts.more, -doubts.risen):
        with suppress(OutOfRangeError):
            end = strength_figures(gravities._replace(final=gravities.final + by)) if by else figures
            figures = {
                name: Estimate(value, min(low, end[name].low), max(high, end[name].high))
                for name, (value, low, high) in figures.items()
            }
    return figures
