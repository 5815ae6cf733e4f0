"""What priming adds to the carbon dioxide in a closed bottle."""

from __future__ import annotations

from lullwort.detector import IfSealed, Judged, if_sealed
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day.held import Held
from lullwort.packaging_day.moved import Moved
from lullwort.packaging_day.uncertain import SPREAD
from lullwort.records import SugarName
from lullwort.science import PRIMING, PrimedWith, carbonation_g_l, co2_g_l_from_points, reserved_wort

__all__ = ["NOTHING_ADDED", "gas_of_priming", "gas_to_target", "priming_kind", "wort_gravities"]

NOTHING_ADDED = (0.0, 0.0)


def gas_to_target(target_g_l: float, held: Held, left: IfSealed) -> tuple[float, float]:
    """[g/L] That is added where beer is primed to a target: what it lacks once the points left have fallen.

    About and at most are the same, for no more is weighed in where more is left than was thought.
    Raises: OutOfRangeError for more points than any beer has left.
    """
    lacks = max(0.0, target_g_l - held.about - float(co2_g_l_from_points(left.about)))
    return lacks, lacks


def gas_of_priming(kind: PrimedWith, mass_g: float, moved: Moved, held: Held) -> tuple[float, float]:
    """[g/L] That so much of `kind` adds, about and at most: of a sweeter sack, in less beer (9 in 10 sure each).

    Raises: OutOfRangeError where no beer was moved.
    """
    about = carbonation_g_l(kind, mass_g, moved.volume_l, held.about) - held.about
    least_l = max(moved.volume_l - SPREAD * moved.sd_l, 0.5 * moved.volume_l)
    at_most = mass_g * (kind.co2 + SPREAD * kind.co2_sd) / least_l if least_l > 0.0 else about
    return max(0.0, about), max(0.0, about, at_most)


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
