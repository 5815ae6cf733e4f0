"""Sugar solutions made by weight: how many grams of sucrose and of water give a gravity at a volume."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from lullwort.explained import Explained
from lullwort.science.extract import plato_from_sg, sg_from_plato, sucrose_density
from lullwort.science.numerics import require_range, solve_increasing

__all__ = ["SOLUTIONS_EXPLAINED", "Solution", "made_up_to", "sugar_solution", "sugar_steps"]

SOLUTION_MAX_SG = 1.200
"""[SG 20/20] Stronger than any wort; such syrup takes hours to dissolve."""

SOLUTIONS_EXPLAINED = (
    Explained(
        "grams of sugar and water",
        "degrees Plato are grams of sucrose in 100 g; mass = volume x density at 20 °C; sugar = mass x °P / 100, water "
        "the rest",
        "Bubnik1995 (ICUMSA SPS-4), on the water of BettinSpieweck1990",
    ),
    Explained(
        "by how much a scale may mislead",
        "slope of gravity over the share of sugar times the root of the summed squares of what 1 g of sugar and 1 g of "
        "water move that share",
        "Bubnik1995",
    ),
)


class Solution(NamedTuple):
    """Sucrose in water.

    Attributes:
        gravity: [SG 20/20]
        plato:   [°P]
        sugar_g, water_g: [g], all of it that is in the solution.
        volume_l: [L] of the solution at 20 °C.
        off_by:  [points] by which its gravity is off where the weights are, as far as was asked.
    """

    gravity: float
    plato: float
    sugar_g: float
    water_g: float
    volume_l: float
    off_by: float


def sugar_solution(gravity: float, volume_l: float, *, scale_g: float = 1.0) -> Solution:
    """What to weigh for so much of a solution of this gravity, sugar and water each once.

    Args:    gravity: [SG 20/20] 1.000 to 1.200.  volume_l: [L] at 20 °C, above 0.  scale_g: [g] by which each weight
             may be off; a millilitre of water is a gram.
    Raises:  OutOfRangeError for another gravity.
    Source:  [Bubnik1995].

    >>> made = sugar_solution(1.040, 1.0)
    >>> round(made.sugar_g, 1), round(made.water_g, 1), round(made.off_by, 2)
    (103.9, 934.3, 0.36)
    """
    require_range("gravity", gravity, 1.0, SOLUTION_MAX_SG, "SG", source="Bubnik1995")
    share = _share(gravity)
    mass_g = volume_l * sucrose_density(share, 20.0)  # kg/m³ are g/L
    sugar_g = share * mass_g
    return _solution(gravity, share, sugar_g, mass_g - sugar_g, volume_l, scale_g if share else 0.0, scale_g)


def made_up_to(sugar_g: float, volume_l: float) -> Solution:
    """So much sugar filled up with water to a volume at 20 °C.

    Args:    sugar_g: [g] 0 or more.  volume_l: [L] above 0.
    Raises:  OutOfRangeError where that is stronger than a gravity of 1.200, about 528 g/L.
    Source:  [Bubnik1995].

    >>> made = made_up_to(103.9, 1.0)
    >>> round(made.gravity, 4), round(made.water_g, 1)
    (1.04, 934.2)
    """
    g_l, strongest = sugar_g / volume_l, sugar_solution(SOLUTION_MAX_SG, 1.0).sugar_g
    require_range("sugar in a litre", g_l, 0.0, strongest, "g/L", source="Bubnik1995")

    def more(plato: float) -> float:
        return plato / 100.0 * sucrose_density(plato / 100.0, 20.0) - g_l

    plato = solve_increasing(more, 0.0, 50.0, tolerance=1e-9)
    water_g = sugar_g * (100.0 - plato) / plato if plato > 1e-6 else volume_l * sucrose_density(0.0, 20.0)
    return _solution(sg_from_plato(plato), plato / 100.0, sugar_g, water_g, volume_l, 1.0, 1.0)


def sugar_steps(gravities: Sequence[float], volume_l: float, *, scale_g: float = 1.0) -> list[Solution]:
    """The same gravities, rising, in one jar: all the water at first, sugar added for each; the last has the volume.

    Args:    as `sugar_solution`; what a scale that is set to zero before each weighing is off adds up.
    """
    strongest = sugar_solution(max(gravities), volume_l)
    made, weighed, before = [], 0, 0.0
    for gravity in sorted(gravities):
        share = _share(gravity)
        sugar_g = strongest.water_g * share / (1.0 - share)
        weighed += sugar_g > before
        before = sugar_g
        litres = (sugar_g + strongest.water_g) / sucrose_density(share, 20.0)
        off_g = scale_g * float(weighed) ** 0.5
        made.append(_solution(gravity, share, sugar_g, strongest.water_g, litres, off_g, scale_g))
    return made


def _share(gravity: float) -> float:
    """Mass fraction of sucrose; that of water is nothing, where solving for it leaves some 1e-10."""
    plato = plato_from_sg(gravity)
    return plato / 100.0 if plato > 1e-6 else 0.0


def _solution(
    gravity: float,
    share: float,
    sugar_g: float,
    water_g: float,
    volume_l: float,
    sugar_off_g: float,
    water_off_g: float,
) -> Solution:
    mass_g = sugar_g + water_g
    share_off = (((1.0 - share) * sugar_off_g) ** 2 + (share * water_off_g) ** 2) ** 0.5 / mass_g
    slope = (sg_from_plato(100.0 * share + 0.5) - sg_from_plato(100.0 * share - 0.5)) * 100.0
    return Solution(gravity, 100.0 * share, sugar_g, water_g, volume_l, 1000.0 * slope * share_off)
