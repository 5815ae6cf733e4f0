"""Priming: what a weight of sugar, malt extract, honey or wort makes of carbon dioxide in a closed bottle.

All of it is taken to ferment by stoichiometry, with no yeast grown: the most gas that it can make. Growing yeast keeps
back up to a tenth of it, so that a bottle comes out a little below its target rather than above.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

from lullwort.science.carbonation import co2_g_l_from_points
from lullwort.science.numerics import require_range
from lullwort.science.water import water_density

__all__ = ["PRIMING", "PrimedWith", "carbonation_g_l", "priming_g", "reserved_wort"]

_CO2_G_MOL = 44.0095
_SUCROSE = 4 * _CO2_G_MOL / 342.2965  # maltose has the same formula
_GLUCOSE = 2 * _CO2_G_MOL / 180.1559
_MONOHYDRATE = 2 * _CO2_G_MOL / 198.1712


class PrimedWith(NamedTuple):
    """What beer may be primed with.

    Attributes:
        name:   as it is called.
        co2:    [g/g] that a gram of it makes, as it is weighed.
        co2_sd: [g/g] its standard deviation from one sack, jar or wort to the next.
        l_per_g: [L/g] by which a gram of it, dissolved, makes more beer.
        says:   how this is known.
    """

    name: str
    co2: float
    co2_sd: float
    l_per_g: float
    says: str


# 0.62 mL a gram of dissolved sugar: what Bubnik1995 gives near 0 to 20 % at 20 °C.
_SUGAR_L_PER_G = 0.62e-3

PRIMING = MappingProxyType(
    {
        each.name: each
        for each in (
            PrimedWith("sucrose", _SUCROSE, 0.0, _SUGAR_L_PER_G, "four molecules of carbon dioxide from each"),
            PrimedWith("dextrose", _MONOHYDRATE, 0.002, _SUGAR_L_PER_G, "glucose with its crystal water, as sold"),
            PrimedWith("dextrose-anhydrous", _GLUCOSE, 0.002, _SUGAR_L_PER_G, "glucose without crystal water"),
            # The shares below: common practice, no source. The scatter is our own estimate.
            PrimedWith(
                "dry-malt-extract", 0.96 * 0.62 * _SUCROSE, 0.025, 0.60e-3, "96 % extract, 62 % of which ferments"
            ),
            PrimedWith("honey", 0.81 * 0.95 * _GLUCOSE, 0.012, 0.70e-3, "81 % extract, 95 % of which ferments"),
        )
    }
)
"""By name; `reserved_wort` makes another, which hangs on the wort."""


def reserved_wort(original_gravity: float, final_gravity: float) -> PrimedWith:
    """Wort of this very batch, kept back unfermented, which will fall as far as the batch did.

    Args:    original_gravity, final_gravity: [SG at 20 °C] 0.975 to 1.060 the second, at most 100 points between.
    Raises:  OutOfRangeError outside these ranges, or where nothing falls.
    Source:  [Balling1865], as `co2_g_l_from_points`.
    """
    fall = 1000.0 * (original_gravity - final_gravity)
    require_range("fall", fall, 0.1, 100.0, "points", source="Balling1865")
    g_per_l = original_gravity * water_density(20.0)
    made = float(co2_g_l_from_points(fall, final_gravity=final_gravity)) / g_per_l
    return PrimedWith("reserved-wort", made, 0.05 * made, 1.0 / g_per_l, "wort that ferments as far as the batch did")


def priming_g(kind: PrimedWith, volume_l: float, holds_g_l: float, target_g_l: float, water_l: float = 0.0) -> float:
    """[g] Of `kind` that brings beer from what it holds to the target; 0 where it holds as much already.

    Args:    volume_l: [L] of beer, 0 or more. holds_g_l, target_g_l: [g CO2/L] 0 to 30. water_l: [L] that the priming
             is dissolved in. Priming and water dilute the beer, and hold none at first.
    Raises:  OutOfRangeError outside these ranges, or where this much cannot be made at all.

    >>> round(priming_g(PRIMING["sucrose"], 19.0, 1.7, 4.745), 1)
    113.1
    """
    for name, value, most, unit in (
        ("volume_l", volume_l, 1e5, "L"), ("water_l", water_l, 1e5, "L"),
        ("holds_g_l", holds_g_l, 30.0, "g/L"), ("target_g_l", target_g_l, 30.0, "g/L"),
    ):  # fmt: skip
        require_range(name, value, 0.0, most, unit, source="stoichiometry")
    yields = kind.co2 - target_g_l * kind.l_per_g
    require_range("gas of a gram", yields, 1e-3, 1.0, "g", source="stoichiometry")
    return max(0.0, (volume_l * (target_g_l - holds_g_l) + water_l * target_g_l) / yields)


def carbonation_g_l(kind: PrimedWith, mass_g: float, volume_l: float, holds_g_l: float, water_l: float = 0.0) -> float:
    """[g CO2/L] To which so much of `kind` brings beer: the inverse of `priming_g`, whose arguments these are.

    >>> round(carbonation_g_l(PRIMING["sucrose"], 113.1, 19.0, 1.7), 2)
    4.74
    """
    require_range("volume_l", volume_l, 1e-6, 1e5, "L", source="stoichiometry")
    return (volume_l * holds_g_l + mass_g * kind.co2) / (volume_l + water_l + mass_g * kind.l_per_g)
