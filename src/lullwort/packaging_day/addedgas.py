"""What priming adds to the carbon dioxide in a closed bottle."""

from __future__ import annotations

from lullwort.detector import IfSealed, Snapshot
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day.held import Held
from lullwort.packaging_day.moved import Moved
from lullwort.packaging_day.uncertain import SPREAD
from lullwort.records import SugarName
from lullwort.science import PRIMING, PrimedWith, carbonation_g_l, co2_g_l_from_points, reserved_wort

__all__ = ["NOTHING_ADDED", "gas_of_priming", "gas_to_target", "priming_kind"]

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


def priming_kind(sugar: SugarName, now: Snapshot) -> PrimedWith | None:
    """What is called so; reserved wort falls as far as this beer did, None where that is not known."""
    if sugar != "reserved-wort":
        return PRIMING[sugar]
    if now.original is None or now.warm_gravity is None:
        return None
    try:
        return reserved_wort(1.0 + now.original / 1000.0, 1.0 + now.warm_gravity / 1000.0)
    except OutOfRangeError:
        return None
