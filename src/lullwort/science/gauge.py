"""What the gauge of a sealed vessel tells of the carbon dioxide in its beer, once gas and beer are at rest."""

from __future__ import annotations

from lullwort.science.carbonation import (
    BAR_PER_ATM,
    CO2_DISSOLVED_L_MOL,
    CO2_G_MOL,
    GAS_L_ATM_MOL_K,
    co2_log_fugacity_per_atm,
    co2_solubility_mol_l_atm,
)
from lullwort.science.numerics import exponential, require_range, solve_increasing
from lullwort.science.water import water_vapour_pressure_atm

__all__ = ["dissolved_g_l", "equilibrium_gauge_bar"]

_LEAST_BAR, _MOST_BAR = -0.9, 20.0


def dissolved_g_l(gauge_bar: float, temp_c: float) -> float:
    """Carbon dioxide [g/L] in beer that has come to rest under its own gas.

    The headspace holds carbon dioxide and water vapour alone: where air was shut in, there is less. Beer that still
    ferments, or was warmed or cooled some hours ago, is not at rest, and its gauge tells another story.

    Args:    gauge_bar: [bar above the air outside] -0.9 to 20.  temp_c: [°C] 0 to 40.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Weiss1974] in water, by the fugacity at that pressure, less what that drives out; beer takes up up to 5 %
             less. One virial coefficient serves to some 10 atm: 0.2 % off there, 0.9 % at 20 [SpanWagner1996].

    >>> round(dissolved_g_l(1.1, 12.0), 2)
    4.51
    """
    require_range("gauge_bar", gauge_bar, _LEAST_BAR, _MOST_BAR, "bar", source="Weiss1974")
    solubility, kelvin = co2_solubility_mol_l_atm(temp_c), temp_c + 273.15
    atm = gauge_bar / BAR_PER_ATM + 1.0
    partial_atm = atm - water_vapour_pressure_atm(temp_c)
    # Solubility has the fugacity at 1 atm in it already, and holds at 1 atm in all.
    driven_out = CO2_DISSOLVED_L_MOL / (GAS_L_ATM_MOL_K * kelvin) * (atm - 1.0)
    dissolves = exponential(co2_log_fugacity_per_atm(kelvin) * (partial_atm - 1.0) - driven_out)
    return CO2_G_MOL * solubility * dissolves * partial_atm


def equilibrium_gauge_bar(g_l: float, temp_c: float) -> float:
    """[bar above the air outside] At which beer holds so much at rest: the inverse of `dissolved_g_l`.

    Args:    g_l: [g CO2/L] what -0.9 to 20 bar make of it.  temp_c: [°C] 0 to 40.
    Returns: below 0 where the beer would take up more from carbon dioxide at the air's own pressure.
    Raises:  OutOfRangeError outside these ranges.

    >>> round(equilibrium_gauge_bar(4.51, 12.0), 2)
    1.1
    """
    least, most = (dissolved_g_l(bar, temp_c) for bar in (_LEAST_BAR, _MOST_BAR))
    require_range("g_l", g_l, least, most, "g/L", source="Weiss1974")
    if g_l in (least, most):
        return _LEAST_BAR if g_l == least else _MOST_BAR

    def too_much(bar: float) -> float:
        return dissolved_g_l(bar, temp_c) - g_l

    return solve_increasing(too_much, _LEAST_BAR, _MOST_BAR, tolerance=1e-10)
