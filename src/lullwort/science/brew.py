"""Wort or beer as what it holds by mass: what is added, watered down, boiled away or blended adds up there.

Volumes do not add up, masses do. All volumes are at 20 °C, and follow from mass and density, so that the contraction of
alcohol and water mixed is counted. What fermentation has used up stays on the account: a brew of which `alcohol_kg` has
been made came from a wort of 1.0665 times that much more mass and 2.0665 times that much more extract [Balling1865].
So a blend, or beer with sugar put in, has an original gravity: that of the wort from which it could have come.
"""

from __future__ import annotations

from dataclasses import astuple, dataclass

from lullwort.science.alcohol import Strength, strength
from lullwort.science.beer import (
    EXTRACT_PER_ETHANOL,
    beer_density,
    driest_gravity,
    extract_and_alcohol,
    gravity_of_extract,
)
from lullwort.science.extract import sg_from_plato
from lullwort.science.numerics import require_range
from lullwort.science.water import water_density

__all__ = ["Brew", "brew", "water_kg"]


@dataclass(frozen=True)
class Brew:
    """So much wort or beer: [kg] in all, and of extract and of ethanol in it."""

    mass_kg: float
    extract_kg: float = 0.0
    alcohol_kg: float = 0.0

    def __add__(self, other: Brew) -> Brew:
        """Both together: a blend. Every mass is the sum of the two."""
        return Brew(*(mine + its for mine, its in zip(astuple(self), astuple(other), strict=True)))

    def part(self, share: float) -> Brew:
        """So much of it, 0 or more: `share` 0.5 is half of it."""
        return Brew(*(share * each for each in astuple(self)))

    @property
    def wort_kg(self) -> float:
        """[kg] Of the wort that it came from."""
        return self.mass_kg + (EXTRACT_PER_ETHANOL - 1.0) * self.alcohol_kg

    @property
    def original_extract(self) -> float:
        """Mass fraction of extract in that wort. Never below that of the brew, by rounding neither."""
        made_of = (self.extract_kg + EXTRACT_PER_ETHANOL * self.alcohol_kg) / self.wort_kg
        return max(made_of, self.real_extract)

    @property
    def real_extract(self) -> float:
        """Mass fraction of extract in the brew."""
        return self.extract_kg / self.mass_kg

    def original_gravity(self, reference_c: float = 20.0) -> float:
        """[SG] Of that wort. Raises OutOfRangeError beyond 50 °P."""
        return sg_from_plato(100.0 * self.original_extract, reference_c)

    def present_gravity(self, reference_c: float = 20.0) -> float:
        """[SG] Of the brew. Raises OutOfRangeError beyond 50 °P."""
        return gravity_of_extract(self.original_extract, self.real_extract, reference_c)

    @property
    def volume_l(self) -> float:
        """[L] At 20 °C."""
        return self.mass_kg / (self.present_gravity() * water_density(20.0)) * 1000.0

    def strength(self) -> Strength:
        """What it holds. Raises OutOfRangeError unless the wort was 1.001 to 1.200."""
        return strength(self.original_gravity(), self.present_gravity())


def brew(original_gravity: float, present_gravity: float, volume_l: float, *, reference_c: float = 20.0) -> Brew:
    """So much wort or beer of these gravities.

    Args:    original_gravity: [SG] 1.000 to 1.200.  present_gravity: [SG] 0.950 to 1.220, not above the original; below
             the driest beer of this wort it counts as that.
             volume_l: [L] at 20 °C, above 0.  reference_c: [°C] of both gravities.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Balling1865] and [Tabarie].

    >>> [round(kg, 3) for kg in astuple(brew(1.050, 1.012, 20.0))]
    [20.204, 0.99, 0.783]
    """
    require_range("volume_l", volume_l, 1e-9, float("inf"), "L", source="the volume")
    require_range("present_gravity", present_gravity, 0.95, original_gravity, "SG", source="Balling1865")
    possible = max(present_gravity, driest_gravity(original_gravity, reference_c))
    extract, alcohol = extract_and_alcohol(original_gravity, possible, reference_c)
    mass = volume_l / 1000.0 * beer_density(original_gravity, possible, 20.0, reference_c=reference_c)
    return Brew(mass, mass * max(extract, 0.0), mass * alcohol)


def water_kg(volume_l: float) -> float:
    """[kg] Of so many litres of water at 20 °C.

    >>> round(water_kg(2.0), 3)
    1.996
    """
    return volume_l / 1000.0 * water_density(20.0)
