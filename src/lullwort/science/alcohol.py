"""Strength of a beer from its original and final gravity, by the mass balance of fermentation."""

from __future__ import annotations

from dataclasses import dataclass

from lullwort.science.beer import beer_density, driest_gravity, extract_and_alcohol
from lullwort.science.ethanol import abv_from_abw
from lullwort.science.extract import plato_from_sg
from lullwort.science.numerics import require_range

__all__ = ["Strength", "strength"]


@dataclass(frozen=True)
class Strength:
    """What a beer holds and how far it fermented.

    Attributes:
        original_extract_plato: [°P] of the wort.
        apparent_extract_plato: [°P] as the final gravity would be read in a sugar solution; may be negative.
        real_extract_plato:     [g/100 g] what is left in the beer.
        abw_pct, abv_pct:       [%] alcohol by weight, and by volume at 20 °C.
        apparent_attenuation:   fraction of the original extract that seems gone; may exceed 1.
        real_attenuation:       fraction of the original extract that is gone, the loss of mass included.
        density_20c_kg_m3:      of this beer, free of carbon dioxide.
    """

    original_extract_plato: float
    apparent_extract_plato: float
    real_extract_plato: float
    abw_pct: float
    abv_pct: float
    apparent_attenuation: float
    real_attenuation: float
    density_20c_kg_m3: float


def strength(original_gravity: float, final_gravity: float, *, reference_c: float = 20.0) -> Strength:
    """Strength by Balling's mass balance with the densities of sucrose and ethanol solutions.

    A final gravity above the original (noise) gives no alcohol; one below the driest beer of this wort gives
    all the alcohol there can be.

    Args:    original_gravity: [SG] 1.001 to 1.200.  final_gravity: [SG] 0.965 to 1.220.
             reference_c: [°C] 0 to 40, of both gravities.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Balling1865], [Tabarie], [Bubnik1995], [OimlR22].

    >>> beer = strength(1.050, 1.012)
    >>> round(beer.abv_pct, 2), round(beer.real_extract_plato, 2), round(beer.apparent_attenuation, 3)
    (4.96, 4.9, 0.752)
    """
    require_range("original_gravity", original_gravity, 1.001, 1.200, "SG", source="Balling1865")
    require_range("final_gravity", final_gravity, 0.965, 1.220, "SG", source="Balling1865")
    original = plato_from_sg(original_gravity, reference_c)
    apparent = plato_from_sg(final_gravity, reference_c)
    possible = max(final_gravity, driest_gravity(original_gravity, reference_c))
    extract, alcohol = extract_and_alcohol(original_gravity, possible, reference_c)
    density = beer_density(original_gravity, possible, 20.0, reference_c=reference_c)
    # 1 g of beer comes from (1 + 1.0665 A) g of wort: carbon dioxide and yeast have left it.
    wort_per_beer = 1.0 + 1.0665 * alcohol
    return Strength(
        original_extract_plato=original,
        apparent_extract_plato=apparent,
        real_extract_plato=100.0 * extract,
        abw_pct=100.0 * alcohol,
        abv_pct=abv_from_abw(100.0 * alcohol, density),
        apparent_attenuation=(original - apparent) / original,
        real_attenuation=1.0 - 100.0 * extract / (wort_per_beer * original),
        density_20c_kg_m3=density,
    )
