"""Priming: what a weight of sugar, malt extract, honey or wort makes of carbon dioxide in a closed bottle.

All of it is taken to ferment by stoichiometry, with no yeast grown: the most gas that it can make. Growing yeast keeps
back up to `YEAST_KEEPS` of it, so that a bottle comes out a little below its target rather than above.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

from lullwort.explained import COMMON_PRACTICE, Explained
from lullwort.science.beer import EXTRACT_PER_ETHANOL, extract_and_alcohol
from lullwort.science.carbonation import CO2_G_MOL, YEAST_KEEPS
from lullwort.science.ingredients import INGREDIENTS
from lullwort.science.numerics import require_range
from lullwort.science.water import water_density

__all__ = [
    "PRIMING",
    "PRIMING_EXPLAINED",
    "PrimedWith",
    "carbonation_g_l",
    "priming_g",
    "reserved_wort",
    "syrup_g",
]

_SUCROSE = 4 * CO2_G_MOL / 342.2965  # maltose has the same formula
_GLUCOSE = 2 * CO2_G_MOL / 180.1559
_CO2_PER_ETHANOL = 0.9565  # [Balling1865]

_SUGAR_L_PER_G, _WATER_L_PER_G = 0.62e-3, 1.0018e-3
# By which a gram of sugar, dissolved, makes more: what Bubnik1995 gives at 10 °P and 20 °C; glucose and maltose within
# 1 % (memory). The alcohol that comes of it takes as much room.

PRIMING_EXPLAINED = (
    Explained(
        "weight of priming",
        "g = (L of beer x (target - what it holds) + L of water x target) / (gas of a gram - target x L that a gram "
        "makes), all gas in g/L; what has yet to ferment counts as held",
        "stoichiometry; Balling1865 for what has yet to ferment",
    ),
    Explained(
        "gas of a gram",
        "sucrose 4 x 44.01 / 342.30 = 0.514 g, dextrose 2 x 44.01 / 198.17 = 0.444 g with its crystal water, 0.489 g "
        "without; no yeast grown",
        "stoichiometry (co2_from_sugar.csv), of molar masses; Balling1865 tells how much growing yeast would keep",
    ),
    Explained(
        "malt extract and honey",
        "dry malt extract 96 % extract, 65 % of which ferments, as maltose; honey 81 % sugars, 95 % of which ferment, "
        "as glucose",
        COMMON_PRACTICE,
    ),
    Explained(
        "reserved wort",
        "falls as far as the batch did. Where a g of beer holds A g of alcohol, a g of its wort made 0.9565 A / (1 + "
        "1.0665 A) g of carbon dioxide, and makes 1 / 0.9 of that where no yeast grows",
        "Balling1865; A by Tabarie",
    ),
)


class PrimedWith(NamedTuple):
    """What beer may be primed with.

    Attributes:
        name:   as it is called.
        co2:    [g/g] that a gram of it makes, as it is weighed, at most.
        co2_sd: [g/g] its standard deviation from one sack, jar or wort to the next.
        l_per_g: [L/g] by which a gram of it, dissolved, makes more beer.
        extract: [g/g] that dissolves as sugar; the rest is water.
        says:   how this is known.
    """

    name: str
    co2: float
    co2_sd: float
    l_per_g: float
    extract: float
    says: str


def _of(name: str, ferments: float, co2: float, co2_sd: float, says: str) -> PrimedWith:
    """As `INGREDIENTS` has it; of its extract the share `ferments` makes `co2` [g/g]."""
    extract = INGREDIENTS[name].extract
    l_per_g = extract * _SUGAR_L_PER_G + (1.0 - extract) * _WATER_L_PER_G
    return PrimedWith(name, extract * ferments * co2, co2_sd, l_per_g, extract, says)


PRIMING = MappingProxyType(
    {
        each.name: each
        for each in (
            _of("sucrose", 1.0, _SUCROSE, 0.0, "four molecules of carbon dioxide from each"),
            _of("dextrose", 1.0, _GLUCOSE, 0.002, "glucose with its crystal water, as sold"),
            _of("dextrose-anhydrous", 1.0, _GLUCOSE, 0.002, "glucose without crystal water"),
            # The shares below: common practice, no source. The scatter is our own estimate.
            _of("dry-malt-extract", 0.65, _SUCROSE, 0.025, "96 % extract, 65 % of which ferments"),
            _of("honey", 0.95, _GLUCOSE, 0.012, "81 % sugars, 95 % of which ferment"),
        )
    }
)
"""By name; `reserved_wort` makes another, which hangs on the wort."""

_WORT_SD = 0.05
# Of two hydrometer readings some 40 points apart.


def reserved_wort(original_gravity: float, final_gravity: float) -> PrimedWith:
    """Wort of this very batch, kept back unfermented, which will fall as far as the batch did.

    Args:    original_gravity, final_gravity: [SG at 20 °C] 0.975 to 1.060 the second, at most 100 points between.
    Raises:  OutOfRangeError outside these ranges, or where nothing falls.
    Source:  [Balling1865], by the mass of the wort, of which gas and yeast are lost; no yeast grown. Alcohol by
             [Tabarie], which is up to 2 % less than by the quotient 0.8192.

    >>> round(reserved_wort(1.050, 1.012).co2, 4)
    0.0396
    """
    fall = 1000.0 * (original_gravity - final_gravity)
    require_range("fall", fall, 0.1, 100.0, "points", source="Balling1865")
    require_range("final_gravity", final_gravity, 0.975, 1.060, "SG", source="Balling1865")
    g_per_l = original_gravity * water_density(20.0)
    _, alcohol = extract_and_alcohol(original_gravity, final_gravity)
    of_wort = alcohol / (1.0 + (EXTRACT_PER_ETHANOL - 1.0) * alcohol)
    made = _CO2_PER_ETHANOL * of_wort / (1.0 - YEAST_KEEPS)
    says = "wort that ferments as far as the batch did"
    return PrimedWith("reserved-wort", made, _WORT_SD * made, 1.0 / g_per_l, 0.0, says)


def priming_g(kind: PrimedWith, volume_l: float, holds_g_l: float, target_g_l: float, water_l: float = 0.0) -> float:
    """[g] Of `kind` that brings beer from what it holds to the target; 0 where it holds as much already.

    Args:    volume_l: [L] of beer, 0 or more. holds_g_l, target_g_l: [g CO2/L] 0 to 30. water_l: [L] that the priming
             is dissolved in. Priming and water dilute the beer, and hold none at first.
    Raises:  OutOfRangeError outside these ranges, or where this much cannot be made at all.

    >>> round(priming_g(PRIMING["sucrose"], 19.0, 1.7, 4.745), 1)
    113.1
    """
    _require(volume_l, water_l, holds_g_l, target_g_l)
    yields = kind.co2 - target_g_l * kind.l_per_g
    require_range("gas of a gram", yields, 1e-3, 1.0, "g", source="stoichiometry")
    return max(0.0, (volume_l * (target_g_l - holds_g_l) + water_l * target_g_l) / yields)


def syrup_g(kind: PrimedWith, volume_l: float, holds_g_l: float, target_g_l: float, syrup_l: float) -> float:
    """As `priming_g`, for priming that is filled up with water to `syrup_l` [L].

    It may be more than dissolves in so much, which `made_up_to` refuses.

    >>> round(syrup_g(PRIMING["sucrose"], 19.0, 1.7, 4.745, 0.5), 1)
    117.1
    """
    _require(volume_l, syrup_l, holds_g_l, target_g_l)
    return max(0.0, (volume_l * (target_g_l - holds_g_l) + syrup_l * target_g_l) / kind.co2)


def _require(volume_l: float, water_l: float, holds_g_l: float, target_g_l: float) -> None:
    for name, value, most, unit in (
        ("volume_l", volume_l, 1e5, "L"), ("water_l", water_l, 1e5, "L"),
        ("holds_g_l", holds_g_l, 30.0, "g/L"), ("target_g_l", target_g_l, 30.0, "g/L"),
    ):  # fmt: skip
        require_range(name, value, 0.0, most, unit, source="stoichiometry")


def carbonation_g_l(kind: PrimedWith, mass_g: float, volume_l: float, holds_g_l: float, water_l: float = 0.0) -> float:
    """[g CO2/L] To which so much of `kind` brings beer: the inverse of `priming_g`, whose arguments these are.

    Raises: OutOfRangeError for no beer, or less than no priming.

    >>> round(carbonation_g_l(PRIMING["sucrose"], 113.1, 19.0, 1.7), 2)
    4.74
    """
    require_range("volume_l", volume_l, 1e-6, 1e5, "L", source="stoichiometry")
    require_range("mass_g", mass_g, 0.0, 1e8, "g", source="stoichiometry")
    return (volume_l * holds_g_l + mass_g * kind.co2) / (volume_l + water_l + mass_g * kind.l_per_g)
