"""What priming adds to the carbon dioxide in a closed bottle."""

from __future__ import annotations

from lullwort.detector import IfSealed, Judged, if_sealed
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day.held import Held
from lullwort.packaging_day.moved import Moved
from lullwort.packaging_day.pointsgas import points_g_l
from lullwort.packaging_day.priming import carbonation_of
from lullwort.records import SugarName
from lullwort.science import PRIMING, PrimedWith, reserved_wort

__all__ = ["NOTHING_ADDED", "gas_of_priming", "gas_to_target", "priming_kind", "wort_gravities"]

NOTHING_ADDED = (0.0, 0.0)


def gas_to_target(target_g_l: float, held: Held, left: IfSealed) -> tuple[float, float]:
    """[g/L] That is added where beer is primed to a target: what it lacks once the points left have fallen.

    About and at most are the same, for no more is weighed in where more is left than was thought.
    """
    lacks = max(0.0, target_g_l - held.about - points_g_l(left.about))
    return lacks, lacks


def gas_of_priming(kind: PrimedWith, mass_g: float, moved: Moved, held: Held) -> tuple[float, float]:
    """[g/L] That so much of `kind` adds, about and at most.

    At most (9 in 10) by less beer, more weight and a sweeter sack together, as `carbonation_of` has them.

    Raises: OutOfRangeError where no beer was moved.
    """
    comes_to = carbonation_of(kind, mass_g, moved, held._replace(at_most=held.about), (0.0, 0.0))
    return max(0.0, comes_to.value - held.about), max(0.0, comes_to.high - held.about)


def priming_kind(sugar: SugarName, judged: Judged) -> PrimedWith | None:
    """What is called so; reserved wort falls as far as this beer did, None where that is not known."""
    if sugar != "reserved-wort":
        return PRIMING[sugar]
    gravities = wort_gravities(judged)
    if gravities is None:
        return None
    try:
        return reserved_wort(*(1.0 + points / 1000.0 for points in gravities))
    except OutOfRangeError:
        return None


def wort_gravities(judged: Judged) -> tuple[float, float] | None:
    """[points] Of the wort alone, as it was before anything was put in, and where it would have ended: at the beer's
    own apparent attenuation. None where one is not known.
    """
    now = judged.now
    if now.original is None or now.warm_gravity is None or now.original <= 0.0 or now.split is not None:
        return None
    added = sum(event.points_of_original for event in judged.batch.events if event.at_us <= judged.as_of_us)
    wort, ends = now.original - added, now.warm_gravity - if_sealed(now).about
    return (wort, wort * ends / now.original) if wort > 0.0 else None
