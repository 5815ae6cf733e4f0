"""Energy of a beer, from what it holds and the conversion factors of food labelling."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.science.alcohol import Strength

__all__ = ["Energy", "energy"]

_KJ_PER_G_ALCOHOL, _KCAL_PER_G_ALCOHOL = 29.0, 7.0
_KJ_PER_G_CARBOHYDRATE, _KCAL_PER_G_CARBOHYDRATE = 17.0, 4.0
# [EU1169] Annex XIV. Each unit has its own rounded factors, so that one is not the other times 4.184.


class Energy(NamedTuple):
    """Energy of a volume of beer in both units, by the factors of each: kJ and kcal."""

    kj: float
    kcal: float


def energy(beer: Strength, volume_ml: float = 100.0) -> Energy:
    """Energy of so much beer at 20 °C: its alcohol, and its real extract counted as carbohydrate.

    Protein has the factors of carbohydrate; the minerals and the fibre of the extract, a few per cent of it, are
    counted a little too high.

    Args:    volume_ml: [mL] 0 or more.
    Source:  [EU1169] Annex XIV.

    >>> from lullwort.science.alcohol import strength
    >>> [round(x) for x in energy(strength(1.050, 1.012))]
    [198, 47]
    """
    grams = beer.density_20c_kg_m3 / 1000.0 * volume_ml
    alcohol, extract = grams * beer.abw_pct / 100.0, grams * beer.real_extract_plato / 100.0
    return Energy(
        kj=_KJ_PER_G_ALCOHOL * alcohol + _KJ_PER_G_CARBOHYDRATE * extract,
        kcal=_KCAL_PER_G_ALCOHOL * alcohol + _KCAL_PER_G_CARBOHYDRATE * extract,
    )
