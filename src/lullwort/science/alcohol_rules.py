"""The named short formulas for strength, each held to the range in which it was compared with `strength`.

`lullwort.science.alcohol.strength`, the mass balance, is what Lullwort itself uses. Gravities are SG at
20 °C, extracts °P, results per cent. How far each formula is from the mass balance is measured in the tests.
"""

from __future__ import annotations

from bisect import bisect_left

from lullwort.science.ethanol import abv_from_abw
from lullwort.science.extract import plato_from_sg
from lullwort.science.numerics import require_range
from lullwort.science.water import water_density

__all__ = [
    "abv_balling",
    "abv_cutaia",
    "abv_duty",
    "abv_hall",
    "abv_times_105",
    "abw_times_105",
    "rdf_beer6",
    "real_extract_quotient",
]

# [Notice226] section 30.3: largest original less present gravity, in degrees (SG x 1000), and its factor.
_DUTY_UP_TO = (6.9, 10.4, 17.2, 26.1, 36.0, 46.5, 57.1, 67.9, 78.8, 89.7, 100.7)
_DUTY_FACTOR = (0.125, 0.126, 0.127, 0.128, 0.129, 0.130, 0.131, 0.132, 0.133, 0.134, 0.135)


def abw_times_105(original_gravity: float, final_gravity: float) -> float:
    """Alcohol by weight [%] by (OG - FG) x 105.

    Raises: OutOfRangeError unless OG is 1.000 to 1.120 and FG 0.975 to 1.120.
    Source: common practice, no source.

    >>> round(abw_times_105(1.068, 1.016), 2)
    5.46
    """
    _require_gravities(original_gravity, final_gravity, 1.120, "the rule of 105")
    return 105.0 * (original_gravity - final_gravity)


def abv_times_105(original_gravity: float, final_gravity: float) -> float:
    """Alcohol by volume [%] by (OG - FG) x 105 x 1.25, the same as (OG - FG) x 131.25.

    Raises: OutOfRangeError unless OG is 1.000 to 1.120 and FG 0.975 to 1.120.
    Source: common practice, no source.

    >>> round(abv_times_105(1.068, 1.016), 1)
    6.8
    """
    return 1.25 * abw_times_105(original_gravity, final_gravity)


def abv_hall(original_gravity: float, final_gravity: float) -> float:
    """Alcohol by volume [%] by 76.08 (OG - FG)/(1.775 - OG) x FG/0.794.

    Raises: OutOfRangeError unless OG is 1.000 to 1.120 and FG 0.975 to 1.120.
    Source: [Hall1995], from memory.

    >>> round(abv_hall(1.060, 1.015), 2)
    6.12
    """
    _require_gravities(original_gravity, final_gravity, 1.120, "Hall1995")
    abw = 76.08 * (original_gravity - final_gravity) / (1.775 - original_gravity)
    return abw * final_gravity / 0.794


def abv_duty(original_gravity: float, final_gravity: float) -> float:
    """Alcohol by volume [%] by the duty table's factor a degree fallen; duty then drops all but one decimal.

    Raises: OutOfRangeError if the fall is below 0 or above 100.7 degrees, where the table ends.
    Source: [Notice226] section 30.3.

    >>> round(abv_duty(1.057, 1.018), 2)
    5.07
    """
    # Gravities have four decimals at most: without rounding 36.0 degrees could miss its own line.
    degrees = round(1000.0 * (original_gravity - final_gravity), 6)
    require_range("fall of gravity", degrees, 0.0, _DUTY_UP_TO[-1], "degrees", source="Notice226")
    return degrees * _DUTY_FACTOR[bisect_left(_DUTY_UP_TO, degrees)]


def real_extract_quotient(original_extract_plato: float, apparent_extract_plato: float) -> float:
    """Real extract [°P] by the classic attenuation quotient, 0.1808 OE + 0.8192 AE.

    Raises: OutOfRangeError unless OE is 0 to 30 °P and AE -7 to 30 °P (0.975 is -6.6 °P).
    Source: [Balling1865].

    >>> round(real_extract_quotient(12.0, 3.0), 3)
    4.627
    """
    require_range("original_extract_plato", original_extract_plato, 0.0, 30.0, "°P", source="Balling1865")
    require_range("apparent_extract_plato", apparent_extract_plato, -7.0, 30.0, "°P", source="Balling1865")
    return 0.1808 * original_extract_plato + 0.8192 * apparent_extract_plato


def abv_balling(original_gravity: float, final_gravity: float) -> float:
    """Alcohol by volume [%] by (OE - RE)/(2.0665 - 0.010665 OE), RE by the classic quotient.

    Raises: OutOfRangeError unless OG is 1.000 to 1.120 and FG 0.975 to 1.120.
    Source: [Balling1865].

    >>> round(abv_balling(1.050, 1.012), 2)
    5.05
    """
    _require_gravities(original_gravity, final_gravity, 1.120, "Balling1865")
    original, apparent = _original_plato(original_gravity), plato_from_sg(final_gravity)
    abw = (original - real_extract_quotient(original, apparent)) / (2.0665 - 0.010665 * original)
    return abv_from_abw(abw, final_gravity * water_density(20.0))


def abv_cutaia(original_gravity: float, final_gravity: float) -> float:
    """Alcohol by volume [%] by the regression A = (0.372 + 0.00357 OE)(OE - AE) on 532 brews.

    Raises: OutOfRangeError if OG is below 1.000 or above 18 °P, where its brews end, or FG not 0.975 to 1.120.
    Source: [Cutaia2009] table VI.

    >>> round(abv_cutaia(1.050, 1.012), 2)
    4.97
    """
    _require_gravities(original_gravity, final_gravity, 1.120, "Cutaia2009")
    original, apparent = _original_plato(original_gravity), plato_from_sg(final_gravity)
    require_range("original extract", original, 0.0, 18.0, "°P", source="Cutaia2009")
    abw = (0.372 + 0.00357 * original) * (original - apparent)
    return abv_from_abw(abw, final_gravity * water_density(20.0))


def rdf_beer6(original_extract_plato: float, real_extract_plato: float) -> float:
    """Real degree of fermentation as a fraction, (OE - RE)/OE / (1 - 0.005161 RE).

    Raises: OutOfRangeError unless OE is 1 to 30 °P and RE 0 to 30 °P.
    Source: [Beer6].

    >>> round(rdf_beer6(12.0, 4.6), 3)
    0.632
    """
    require_range("original_extract_plato", original_extract_plato, 1.0, 30.0, "°P", source="Beer6")
    require_range("real_extract_plato", real_extract_plato, 0.0, 30.0, "°P", source="Beer6")
    fall = original_extract_plato - real_extract_plato
    return fall / original_extract_plato / (1.0 - 0.005161 * real_extract_plato)


def _require_gravities(original: float, final: float, highest: float, source: str) -> None:
    require_range("original_gravity", original, 1.0, highest, "SG", source=source)
    require_range("final_gravity", final, 0.975, highest, "SG", source=source)


def _original_plato(original_gravity: float) -> float:
    # What is solved for comes out as -5e-17 at 1.000, which the ranges from 0 °P would refuse.
    return max(0.0, plato_from_sg(original_gravity))
