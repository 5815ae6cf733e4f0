"""Density of sucrose solutions, and what follows from it: SG ↔ °P.

Mass fractions w are kg sucrose per kg solution; degrees Plato are 100 w. Wort extract is not sucrose, but °P
are defined as if it were. Specific gravity is t/t, the density over that of water at the same temperature,
and true: tables weighed in air show more, 0.00006 at 12 °P and 0.00012 at 25 °P, worth 0.01 and 0.03 °P.
"""

from __future__ import annotations

from lullwort.science.numerics import DoubleSeries, horner, require_range, solve_increasing
from lullwort.units import Quantity

__all__ = ["plato_from_sg", "sg_from_plato", "sucrose_density", "sucrose_density_excess"]

MAX_MASS_FRACTION = 0.50

# [BettinSpieweck1990]: the water on which the sucrose equation is built. It differs from `water_density` by
# less than 0.004 kg/m³, but holds up to 100 °C.
_WATER = (999.83952, 16.952577, -7.9905127e-3, -4.6241757e-5, 1.0584601e-7, -2.8103006e-10)
_WATER_DIVISOR = 16.887236e-3

# [Bubnik1995] p. 164, one line a power of w from 1 to 6; along a line, powers of (t - 20 °C)/100 from 0.
_SUCROSE = DoubleSeries((
    (385.1761, -46.2720, 59.7712, -47.2207, 18.3184),
    (135.3705, -7.1720, 7.2491, -21.6977, 12.3081),
    (40.9299, 1.1597, 12.3630, 27.6301),
    (-3.9643, 5.1126, -35.4791),
    (13.4853, 17.5254),
    (-17.2890,),
))  # fmt: skip


def sucrose_density_excess(mass_fraction: Quantity, temp_c: Quantity | float) -> Quantity:
    """How much denser than water a sucrose solution is, both at `temp_c` [kg/m³]; caller checks ranges.

    Source: [Bubnik1995] p. 164 (ICUMSA SPS-4). It runs on smoothly below w = 0, where it describes no liquid.
    """
    return _SUCROSE(mass_fraction, (temp_c - 20.0) / 100.0)


def sucrose_density(mass_fraction: Quantity, temp_c: Quantity | float) -> Quantity:
    """Density of a sucrose solution in water.

    The equation is printed for higher concentrations too. We stop at 0.50, a gravity of 1.23: the strongest
    worts reach 0.30, readings up to 1.20 have to be corrected, and beyond 0.30 all that we could hold it
    against are two densities at 20 °C, those of 40 and 50 %.

    Args:    mass_fraction: [kg/kg] 0 to 0.50.  temp_c: [°C] 0 to 100.
    Returns: [kg/m³] broadcast shape; NaN where either is NaN.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Bubnik1995] p. 164 (ICUMSA SPS-4) on the water of [BettinSpieweck1990].

    >>> round(sucrose_density(0.12, 20.0), 2)
    1046.44
    """
    require_range("mass_fraction", mass_fraction, 0.0, MAX_MASS_FRACTION, "kg/kg", source="Bubnik1995")
    t = 0.0 * mass_fraction + temp_c
    require_range("temp_c", t, 0.0, 100.0, "°C", source="Bubnik1995")
    return sucrose_density_excess(mass_fraction, t) + _water(t)


def sg_from_plato(plato: Quantity, reference_c: float = 20.0) -> Quantity:
    """Specific gravity, at `reference_c` over water at `reference_c`, of a solution of so many °P.

    Below 0 °P there is no such solution: the value is what the trade calls a negative apparent extract, the
    same curve read on below zero.

    Args:    plato: [°P] -10 to 50.  reference_c: [°C] 0 to 100, 20 for SG 20/20, 15.56 for SG 60 °F/60 °F.
    Raises:  OutOfRangeError outside these ranges.
    Source:  as `sucrose_density`.

    >>> round(sg_from_plato(12.0), 5)
    1.04833
    """
    require_range("plato", plato, -10.0, 100.0 * MAX_MASS_FRACTION, "°P", source="Bubnik1995")
    require_range("reference_c", reference_c, 0.0, 100.0, "°C", source="Bubnik1995")
    return 1.0 + sucrose_density_excess(plato / 100.0, reference_c) / _water(reference_c)


def plato_from_sg(sg: Quantity, reference_c: float = 20.0) -> Quantity:
    """Degrees Plato of a solution of this specific gravity: the inverse of `sg_from_plato`, exact to 1e-8 °P.

    Of fermenting or finished beer this is the apparent extract, which may be negative.

    Args:    sg: [-] `reference_c` over `reference_c`; what -10 to 50 °P come to, 0.963 to 1.232 at 20 °C.
             reference_c: [°C] 0 to 100.
    Raises:  OutOfRangeError outside these ranges.

    >>> round(plato_from_sg(1.050), 2), round(plato_from_sg(0.998), 2)
    (12.4, -0.52)
    """
    lowest, highest = (sg_from_plato(p, reference_c) for p in (-10.0, 100.0 * MAX_MASS_FRACTION))
    require_range("sg", sg, lowest, highest, f"at {reference_c:g} °C", source="Bubnik1995")
    wanted = (sg - 1.0) * _water(reference_c)
    zero = 0.0 * sg
    mass_fraction = solve_increasing(
        lambda w: sucrose_density_excess(w, reference_c) - wanted,
        zero - 0.10,
        zero + MAX_MASS_FRACTION,
        tolerance=1e-8,
    )
    return 100.0 * mass_fraction


def _water(temp_c: Quantity) -> Quantity:
    return horner(_WATER, temp_c) / (1.0 + _WATER_DIVISOR * temp_c)
