"""Sugar, malt extract, honey and fruit: what a weight of each brings, and the points that this makes.

An ingredient brings extract (what dissolves) and water; the rest (pulp) stays apart from the beer. Extract counts as
sucrose does in °P, and makes alcohol as wort does by Balling's balance. Glucose makes 5 % less from a gram, by the
stoichiometry in co2_from_sugar.csv: of what it adds, not of the whole, so less than a scale and a bucket leave open.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

from lullwort.science.brew import Brew
from lullwort.science.numerics import require_range

__all__ = ["INGREDIENTS", "AddedPoints", "Ingredient", "added_points", "points_by_rule"]

_POINTS_L_PER_KG = 384.0
# 46 points from a pound of sucrose in a US gallon. Common practice, no source.


class Ingredient(NamedTuple):
    """What may be put into wort or beer.

    Attributes:
        name:    as it is called.
        extract: mass fraction that dissolves as extract.
        extract_sd: its standard deviation from one sack or punnet to the next.
        water:   mass fraction of water that it brings.
        says:    how this is known.
    """

    name: str
    extract: float
    extract_sd: float
    water: float
    says: str

    def of(self, mass_kg: float) -> Brew:
        """What so much of it brings [kg].

        >>> INGREDIENTS["fruit"].of(2.0)
        Brew(mass_kg=1.94, extract_kg=0.2, alcohol_kg=0.0)
        """
        return Brew(mass_kg * (self.extract + self.water), mass_kg * self.extract)

    def with_sugar(self, extract: float) -> Ingredient:
        """The same with this mass fraction of extract, as a label or a refractometer has it; less water by as much."""
        require_range("extract", extract, 0.0, self.extract + self.water, "kg/kg", source="what is not pulp")
        water = self.extract + self.water - extract
        return self._replace(extract=extract, extract_sd=min(self.extract_sd, 0.01), water=water)


_MONOHYDRATE = 180.1559 / 198.1712
# Molar masses of glucose without and with its crystal water, as in co2_from_sugar.csv.

INGREDIENTS = MappingProxyType(
    {
        each.name: each
        for each in (
            Ingredient("sucrose", 1.0, 0.0, 0.0, "all of it dissolves"),
            Ingredient("dextrose", _MONOHYDRATE, 0.005, 1.0 - _MONOHYDRATE, "glucose with its crystal water, as sold"),
            Ingredient("dextrose-anhydrous", 1.0, 0.005, 0.0, "glucose without crystal water"),
            # The shares below: common practice, no source. The scatter is our own estimate.
            Ingredient("dry-malt-extract", 0.96, 0.015, 0.04, "96 % extract"),
            Ingredient("liquid-malt-extract", 0.79, 0.02, 0.21, "79 % extract"),
            Ingredient("honey", 0.81, 0.02, 0.19, "81 % extract"),
            Ingredient("fruit", 0.10, 0.03, 0.87, "10 % sugar, 87 % water and 3 % pulp, where its sugar is not stated"),
            Ingredient("water", 0.0, 0.0, 1.0, "water"),
        )
    }
)
"""By name."""


class AddedPoints(NamedTuple):
    """[points] By which what was put in changes the gravity of the beer now, and that of the wort it came from."""

    present: float
    original: float


def added_points(into: Brew, added: Brew) -> AddedPoints:
    """What `added` does to a brew. Fruit and water may raise the one and lower the other.

    Raises: OutOfRangeError beyond 50 °P.

    >>> from lullwort.science.brew import brew
    >>> wort = brew(1.050, 1.050, 19.0)
    >>> [round(points, 1) for points in added_points(wort, INGREDIENTS["sucrose"].of(0.5))]
    [9.1, 9.1]
    """
    both = into + added
    return AddedPoints(
        1000.0 * (both.present_gravity() - into.present_gravity()),
        1000.0 * (both.original_gravity() - into.original_gravity()),
    )


def points_by_rule(added: Brew, volume_l: float) -> float:
    """[points] By the rule of thumb: 46 points a pound and US gallon, 384 a kg and litre, of dissolved sugar.

    Source: common practice, no source. It makes up to `volume_l`; put into that volume it promises a little too much.

    >>> round(points_by_rule(INGREDIENTS["sucrose"].of(0.5), 19.0), 1)
    10.1
    """
    return _POINTS_L_PER_KG * added.extract_kg / volume_l
