"""A hydrometer read at another temperature than its calibration: in a sugar solution, in beer and in plain water."""

from __future__ import annotations

from lullwort.explained import COMMON_PRACTICE, Explained
from lullwort.science.beer import float_swelling, sg_at_reference
from lullwort.science.numerics import require_range
from lullwort.science.water import water_density
from lullwort.units import Quantity

__all__ = [
    "CALIBRATION_60F_C",
    "GLASS_EXPANSION_PER_K",
    "HYDROMETER_EXPLAINED",
    "HYDROMETER_RULE_EXPLAINED",
    "HYDROMETER_WATER_EXPLAINED",
    "hydrometer_in_beer",
    "hydrometer_in_water",
    "hydrometer_rule_points",
    "hydrometer_true_sg",
]

GLASS_EXPANSION_PER_K = 25e-6
"""Cubic expansion of hydrometer glass by convention [ISO1768]."""

CALIBRATION_60F_C = (60.0 - 32.0) * 5.0 / 9.0

HYDROMETER_EXPLAINED = Explained(
    "gravity by hydrometer",
    "reading R at T of an instrument made for Tc: density = R rho_water(Tc) / (1 + 25e-6 (T - Tc)); the sugar and "
    "alcohol that have this density, by Balling's balance of the original gravity, have the gravity at the reference "
    "temperature",
    "[Tanaka2001] water, [ISO1768] glass, [Bubnik1995] sugar, [OimlR22] ethanol, [Balling1865], [Tabarie]",
)
HYDROMETER_RULE_EXPLAINED = Explained(
    "rule of thumb",
    "reading + 0.001 for every 10 °F (5.6 °C) above the temperature printed on the hydrometer, for no more than 20 °F",
    COMMON_PRACTICE,
)
HYDROMETER_WATER_EXPLAINED = Explained(
    "what plain water shows",
    "rho_water(T) (1 + 25e-6 (T - Tc)) / rho_water(Tc) on an instrument made for Tc; what it reads above is its error",
    "[Tanaka2001] water, [ISO1768] glass",
)


def hydrometer_true_sg(
    reading: Quantity, temp_c: Quantity | float, *, calibration_c: float = CALIBRATION_60F_C
) -> Quantity:
    """True gravity, at `calibration_c` over water there, of a sugar solution read so at `temp_c`.

    Args:    reading: [SG] 0.975 to 1.200.  temp_c: [°C] 0 to 40 of the liquid and the instrument in it.
             calibration_c: [°C] 0 to 40, as printed on the instrument: 60 °F, or 20 °C.
    Returns: [SG at calibration_c]; NaN where reading or temperature is NaN.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Bubnik1995], [Tanaka2001] and, for the glass, [ISO1768]. For beer, which is no plain sugar
             solution, `sg_at_reference` with its original gravity is closer.

    >>> round(hydrometer_true_sg(1.050, 25.0), 4)
    1.0523
    """
    return sg_at_reference(
        None, reading, temp_c, reference_c=calibration_c, sensor_expansion_per_k=GLASS_EXPANSION_PER_K
    )


def hydrometer_in_beer(
    original_gravity: float | None, reading: float, temp_c: float, *, calibration_c: float, reference_c: float = 20.0
) -> float:
    """True gravity, at `reference_c` over water there, of wort or beer in which a hydrometer reads so at `temp_c`.

    Args:    original_gravity: [SG at reference_c] 1.000 to 1.200; None: an unfermented sugar solution.
             reading: [SG] 0.975 to 1.200.  temp_c: [°C] 0 to 40 of the liquid and the instrument in it.
             calibration_c: [°C] 0 to 40, as printed on the instrument.  reference_c: [°C] 0 to 40.
    Raises:  OutOfRangeError outside these ranges.
    Source:  as `sg_at_reference`; for the glass, [ISO1768].

    >>> round(hydrometer_in_beer(1.050, 1.0110, 25.0, calibration_c=20.0), 4)
    1.0122
    """
    if temp_c == calibration_c == reference_c:
        return reading
    # What an instrument that is right at the reference temperature would have shown in the same liquid.
    shown = reading * water_density(calibration_c) / water_density(reference_c)
    shown *= _glass(temp_c, reference_c) / _glass(temp_c, calibration_c)
    return sg_at_reference(
        original_gravity, shown, temp_c, reference_c=reference_c, sensor_expansion_per_k=GLASS_EXPANSION_PER_K
    )


def hydrometer_in_water(temp_c: Quantity, *, calibration_c: float) -> Quantity:
    """What a hydrometer without an error shows in plain water [SG].

    The hardness of tap water adds less than a point (common practice, no source).

    Args:    temp_c: [°C] 0 to 40.  calibration_c: [°C] 0 to 40, as printed on the instrument.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Tanaka2001]; for the glass, [ISO1768].

    >>> round(hydrometer_in_water(25.0, calibration_c=20.0), 4)
    0.999
    """
    return water_density(temp_c) * _glass(temp_c, calibration_c) / water_density(calibration_c)


def hydrometer_rule_points(temp_f: Quantity, *, calibration_f: float = 60.0) -> Quantity:
    """Points to add to a hydrometer's reading by the rule "0.001 for every 10 °F above 60".

    Within 0.6 points of the physics up to 10 °F above and 1.4 up to 20 °F for readings of 1.000 to 1.100, mostly
    too little. Refused below, where the error grows to 2.4 points, and higher up. An instrument for 20 °C takes the
    same steps from 68 °F, up to 0.8 and 1.7 points too short.

    Args:    temp_f: [°F] from `calibration_f` to 20 above.  calibration_f: [°F] printed on the instrument, 60 or 68.
    Raises:  OutOfRangeError outside this range.
    Source:  common practice, no source.

    >>> hydrometer_rule_points(70.0), hydrometer_rule_points(78.0, calibration_f=68.0)
    (1.0, 1.0)
    """
    range_source = "the rule of 0.001 per 10 °F"
    require_range("temp_f", temp_f, calibration_f, calibration_f + 20.0, "°F", source=range_source)
    return (temp_f - calibration_f) / 10.0


def _glass(temp_c: Quantity, calibration_c: float) -> Quantity:
    return float_swelling(temp_c, calibration_c, GLASS_EXPANSION_PER_K)
