"""Density of water, and its vapour pressure.

Pure functions: no I/O, no clock. Temperatures in °C (ITS-90), densities in kg/m³.
"""

from __future__ import annotations

from lullwort.science.numerics import exponential, logarithm, require_range
from lullwort.units import Quantity

__all__ = ["water_density", "water_vapour_pressure_atm"]


def water_density(temp_c: Quantity) -> Quantity:
    """Density of air-free water at 101.325 kPa.

    Args:    temp_c: [°C] 0 to 40.
    Returns: [kg/m³]; NaN where `temp_c` is NaN.
    Raises:  OutOfRangeError outside 0 to 40 °C.
    Source:  [Tanaka2001] eq. 1; its uncertainty is 0.001 kg/m³.

    >>> round(water_density(25.0), 3)
    997.047
    """
    require_range("temp_c", temp_c, 0.0, 40.0, "°C", source="Tanaka2001")
    t = temp_c
    peak = t - 3.983035
    return 999.97495 * (1.0 - peak * peak * (t + 301.797) / (522528.9 * (t + 69.34881)))


def water_vapour_pressure_atm(temp_c: Quantity) -> Quantity:
    """Saturation pressure of water vapour.

    Args:    temp_c: [°C] 0 to 40; the equation itself reaches to the critical point, we check it only here.
    Returns: [atm]; NaN where `temp_c` is NaN.
    Raises:  OutOfRangeError outside 0 to 40 °C.
    Source:  [WagnerPruss1993].

    >>> round(water_vapour_pressure_atm(20.0), 4)
    0.0231
    """
    require_range("temp_c", temp_c, 0.0, 40.0, "°C", source="WagnerPruss1993")
    kelvin = temp_c + 273.15
    x = 1.0 - kelvin / 647.096
    root = exponential(0.5 * logarithm(x))
    series = (
        -7.85951783 * x
        + 1.84408259 * x * root
        - 11.7866497 * x**3
        + 22.6807411 * x**3 * root
        - 15.9618719 * x**4
        + 1.80122502 * x**7 * root
    )
    return 22.064e6 / 101325.0 * exponential(series * 647.096 / kelvin)
