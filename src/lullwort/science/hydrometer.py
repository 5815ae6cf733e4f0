"""A hydrometer read in a sugar solution at another temperature than its calibration."""

from __future__ import annotations

from lullwort.science.beer import sg_at_reference
from lullwort.science.numerics import require_range
from lullwort.units import Quantity

__all__ = ["CALIBRATION_60F_C", "GLASS_EXPANSION_PER_K", "hydrometer_rule_points", "hydrometer_true_sg"]

GLASS_EXPANSION_PER_K = 25e-6
"""Cubic expansion of hydrometer glass by convention [ISO1768]."""

CALIBRATION_60F_C = (60.0 - 32.0) * 5.0 / 9.0


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


def hydrometer_rule_points(temp_f: Quantity) -> Quantity:
    """Points to add to the reading of a 60 °F hydrometer by the rule "0.001 for every 10 °F above 60".

    Within 0.6 points of the physics up to 70 °F and 1.4 up to 80 °F for readings of 1.000 to 1.100, mostly
    too little. Refused below 60 °F, where the error grows to 2.4 points, and above 80 °F.

    Args:    temp_f: [°F] 60 to 80.
    Raises:  OutOfRangeError outside this range.
    Source:  common practice, no source.

    >>> hydrometer_rule_points(70.0)
    1.0
    """
    require_range("temp_f", temp_f, 60.0, 80.0, "°F", source="the rule of 0.001 per 10 °F")
    return (temp_f - 60.0) / 10.0
