"""What a beer holds and how far it fermented, each figure with what the uncertainty of the inputs amounts to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from lullwort.errors import OutOfRangeError
from lullwort.packaging_day.uncertain import Error, Estimate, ranges
from lullwort.science import Ingredient, Strength, brew, energy, strength

__all__ = [
    "ENERGY_ML",
    "Added",
    "Gravities",
    "Put",
    "alcohol_by_volume",
    "figures_of",
    "strength_figures",
]

ENERGY_ML = (100, 330, 355)
"""[mL] For which energy is told: as labels have it, and bottles."""


class Gravities(NamedTuple):
    """Original and final gravity [points], and by what each may be off, as standard deviations [points].

    `common_sd` is in both alike, as where one instrument read them; the others are of each by itself.
    """

    original: float
    final: float
    original_sd: float
    final_sd: float
    common_sd: float = 0.0


class Put(NamedTuple):
    """So much of an ingredient that was put in after the original gravity was read: [kg] and its standard deviation."""

    ingredient: Ingredient
    mass_kg: float
    mass_sd_kg: float = 0.0


class Added(NamedTuple):
    """What went into a wort after its original gravity was read, and how much wort that was: [L at 20 °C].

    A `Put` of water may be less than nothing: what was boiled away.
    """

    volume_l: float
    volume_sd_l: float
    what: tuple[Put, ...]


def alcohol_by_volume(
    original: float, final: float, original_sd: float, final_sd: float, common_sd: float = 0.0
) -> Estimate | None:
    """Alcohol by volume [%] from original and present gravity, both in points with their standard deviations.

    Args:    common_sd: of what is wrong in both alike, so that it nearly cancels.
    Returns: None where the gravities lie outside what the formula covers.

    >>> [round(x, 1) for x in alcohol_by_volume(50.0, 12.0, 0.5, 0.5)]
    [5.0, 4.8, 5.1]
    """
    gravities = Gravities(original, final, original_sd, final_sd, common_sd)
    try:
        return ranges(lambda v: {"abv": _strength(*v).abv_pct}, gravities[:2], _errors(gravities))["abv"]
    except OutOfRangeError:
        return None


def strength_figures(gravities: Gravities, added: Added | None = None) -> dict[str, Estimate]:
    """All figures of a beer, those of `figures_of`, with `added` counted.

    Raises: OutOfRangeError where the gravities lie outside what the formulas cover.

    >>> beer = strength_figures(Gravities(50.0, 12.0, 0.5, 0.5))
    >>> [round(x, 3) for x in beer["real_attenuation"]]
    [0.62, 0.606, 0.634]
    """
    if added is None:
        return ranges(lambda v: figures_of(_strength(*v), v[0], v[1]), gravities[:2], _errors(gravities))
    errors = [*_errors(gravities), Error(added.volume_sd_l, (2,))]
    values = [*gravities[:2], added.volume_l]
    for put in added.what:
        errors += [Error(put.mass_sd_kg, (len(values),)), Error(put.ingredient.extract_sd, (len(values) + 1,))]
        values += [put.mass_kg, put.ingredient.extract]
    return ranges(lambda v: _with_added(v, added), values, errors)


def figures_of(beer: Strength, original: float, final: float) -> dict[str, float]:
    """The figures by name: gravities [points], extracts [g/100 g], alcohol [%], attenuations [1], energy [kJ, kcal]."""
    named = {
        "original_gravity": original,
        "final_gravity": final,
        "abv": beer.abv_pct,
        "abw": beer.abw_pct,
        "original_extract": beer.original_extract_plato,
        "apparent_extract": beer.apparent_extract_plato,
        "real_extract": beer.real_extract_plato,
        "apparent_attenuation": beer.apparent_attenuation,
        "real_attenuation": beer.real_attenuation,
    }
    for volume_ml in ENERGY_ML:
        kj, kcal = energy(beer, volume_ml)
        named |= {f"kj_{volume_ml}_ml": kj, f"kcal_{volume_ml}_ml": kcal}
    return named


def _errors(gravities: Gravities) -> list[Error]:
    return [
        Error(gravities.original_sd, (0,)),
        Error(gravities.final_sd, (1,)),
        Error(gravities.common_sd, (0, 1)),
    ]


def _strength(original: float, final: float) -> Strength:
    return strength(1.0 + original / 1000.0, 1.0 + final / 1000.0)


def _with_added(values: Sequence[float], added: Added) -> dict[str, float]:
    original, final, volume_l, *put = values
    wort = brew(1.0 + original / 1000.0, 1.0 + original / 1000.0, volume_l)
    for (ingredient, _, _), mass_kg, extract in zip(added.what, put[::2], put[1::2], strict=True):
        # By its error a share of sugar may come out below none; nothing holds less.
        wort += ingredient.with_sugar(max(extract, 0.0)).of(mass_kg)
    made = 1000.0 * (wort.original_gravity() - 1.0)
    return figures_of(_strength(made, final), made, final)
