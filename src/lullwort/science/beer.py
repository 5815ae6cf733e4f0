"""Density of wort on its way to beer, and what a float in it reads at another temperature than the reference.

By Balling's mass balance (2.0665 g of extract give 1 g of ethanol) wort of original extract OE in which RE is
left holds alcohol A = (OE - RE) / (2.0665 - 1.0665 OE), all mass fractions. By Tabarié's additivity such a
beer is as much denser than water as its residue and its distillate together, each made up to the volume of
the beer with water: a sucrose and an ethanol solution, whose densities are known at any temperature. So
gravity at the reference temperature fixes both solutions, and these give the density at any other.

Outside what the wort can become, two rules keep the answer defined, continuous and rising. Above original
gravity (noise, sugar added) the liquid is a sugar solution without alcohol. Below the gravity at which all
extract would be gone it changes with temperature as that driest beer does. Without an original gravity the
reading alone must tell: the liquid counts as an unfermented sugar solution and, below 1.000, as water. In
finished beer at 0 °C that corrects 0.4 to 0.7 points too little.
"""

from __future__ import annotations

from lullwort.science.ethanol import ethanol_density_excess
from lullwort.science.extract import MAX_MASS_FRACTION, plato_from_sg, sucrose_density_excess
from lullwort.science.numerics import require_range, solve_increasing
from lullwort.science.water import water_density
from lullwort.units import Quantity

__all__ = [
    "beer_density",
    "distillate_alcohol",
    "driest_gravity",
    "extract_and_alcohol",
    "float_swelling",
    "gravity_of_extract",
    "original_extract",
    "sensor_reading",
    "sg_at_reference",
    "tabarie_density_excess",
]

EXTRACT_PER_ETHANOL = 2.0665
"""[Balling1865] g extract used up a g ethanol made; the rest becomes 0.9565 g CO2 and 0.11 g yeast."""

MIN_READING, MAX_READING = 0.975, 1.200
MAX_EXPANSION_PER_K = 5e-4  # plastics have 2e-4 to 3.3e-4

# kg/m³ for a unit of "less than no extract". It keeps the density rising; any slope near sugar's will do.
_BELOW_DRIEST = 400.0
_LOWEST_RESIDUE = -0.25
# Each step comes 500 times closer; the fourth is within 1e-11.
_DISTILLATE_STEPS = 4


def original_extract(original_gravity: float | None, reference_c: float) -> float:
    """Mass fraction of extract in the wort; without an original gravity 0, so that no alcohol is assumed.

    Raises: OutOfRangeError unless `original_gravity` [SG at reference_c] is within 1.000 to 1.200.
    """
    if original_gravity is None:
        return 0.0
    require_range("original_gravity", original_gravity, 1.0, MAX_READING, "SG", source="Balling1865")
    return plato_from_sg(original_gravity, reference_c) / 100.0


def distillate_alcohol(original: float, residue: Quantity, reference_c: float) -> Quantity:
    """Mass fraction of ethanol in the distillate that belongs to a residue, both made up at `reference_c`.

    Args: original: mass fraction of extract in the wort.
          residue: mass fraction of extract in the residue made up to the volume of the beer, -0.25 to 0.50;
          below 0 it stands for the driest beer, made lighter by a constant.
    """
    water = water_density(reference_c)
    sugar, extract_kg_m3 = _residue_parts(residue, reference_c, water)
    alcohol = 0.0 * residue
    for _ in range(_DISTILLATE_STEPS):
        distillate = ethanol_density_excess(alcohol, reference_c)
        consumed = original * (water + sugar + distillate) - extract_kg_m3
        alcohol = _positive(consumed) / (_extract_per_ethanol(original) * (water + distillate))
    return alcohol


def tabarie_density_excess(residue: Quantity, alcohol: Quantity, temp_c: Quantity | float) -> Quantity:
    """How much denser than water the beer is, both at `temp_c` [kg/m³].

    Args: residue, alcohol: mass fractions as in `distillate_alcohol`.  temp_c: [°C]; for the caller to check.
    """
    extract = _positive(residue)
    sugar = sucrose_density_excess(extract, temp_c)
    return sugar + ethanol_density_excess(alcohol, temp_c) + _BELOW_DRIEST * (residue - extract)


def extract_and_alcohol(
    original_gravity: float, present_gravity: Quantity, reference_c: float = 20.0
) -> tuple[Quantity, Quantity]:
    """Real extract and alcohol, mass fractions, of wort that has come from one gravity to another.

    Args:    original_gravity: [SG] 1.000 to 1.200.  present_gravity: [SG] 0.950 to 1.220; above the original
             there is no alcohol, below the driest possible beer no extract and all the alcohol there can be.
             reference_c: [°C] of both, 0 to 40.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Balling1865] and [Tabarie].

    >>> [round(100.0 * x, 2) for x in extract_and_alcohol(1.050, 1.012)]
    [4.9, 3.88]
    """
    original = original_extract(original_gravity, reference_c)
    residue = _residue_from_gravity(original, present_gravity, reference_c)
    water = water_density(reference_c)
    sugar, extract_kg_m3 = _residue_parts(residue, reference_c, water)
    distillate = ethanol_density_excess(distillate_alcohol(original, residue, reference_c), reference_c)
    extract = extract_kg_m3 / (water + sugar + distillate)
    return extract, _positive(original - extract) / _extract_per_ethanol(original)


def gravity_of_extract(original: float, real_extract: float, reference_c: float = 20.0) -> float:
    """Present gravity [SG] of wort in which so much extract is left: the inverse of `extract_and_alcohol`.

    Args:    original: mass fraction of extract in the wort, 0 to 0.50.  real_extract: in the beer, 0 to `original`.
             reference_c: [°C] 0 to 40.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Balling1865] and [Tabarie].

    >>> round(gravity_of_extract(0.12384, 0.04901), 4)
    1.012
    """
    require_range("original", original, 0.0, MAX_MASS_FRACTION, "kg/kg", source="Bubnik1995")
    require_range("real_extract", real_extract, 0.0, original, "kg/kg", source="Balling1865")
    water = water_density(reference_c)

    def too_rich_by(residue: float) -> float:
        sugar, extract_kg_m3 = _residue_parts(residue, reference_c, water)
        distillate = ethanol_density_excess(distillate_alcohol(original, residue, reference_c), reference_c)
        return extract_kg_m3 / (water + sugar + distillate) - real_extract

    residue = solve_increasing(too_rich_by, 0.0, MAX_MASS_FRACTION, tolerance=1e-12)
    alcohol = distillate_alcohol(original, residue, reference_c)
    return 1.0 + tabarie_density_excess(residue, alcohol, reference_c) / water


def driest_gravity(original_gravity: float | None, reference_c: float = 20.0) -> float:
    """Gravity [SG] that wort of this original gravity would have if all its extract were fermented.

    Args:    original_gravity: [SG] 1.000 to 1.200; None gives 1.000.  reference_c: [°C] of both, 0 to 40.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Balling1865] and [Tabarie].

    >>> round(driest_gravity(1.050), 4)
    0.9889
    """
    alcohol = distillate_alcohol(original_extract(original_gravity, reference_c), 0.0, reference_c)
    return 1.0 + tabarie_density_excess(0.0, alcohol, reference_c) / water_density(reference_c)


def beer_density(
    original_gravity: float | None,
    present_gravity: Quantity,
    temp_c: Quantity | float,
    *,
    reference_c: float = 20.0,
) -> Quantity:
    """Density at `temp_c` [kg/m³] of wort or beer with these gravities at `reference_c`.

    Args:    original_gravity: [SG] 1.000 to 1.200; None: an unfermented sugar solution, see the module.
             present_gravity: [SG] 0.950 to 1.220.  temp_c, reference_c: [°C] 0 to 40.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Balling1865], [Tabarie], [Bubnik1995], [OimlR22], [Tanaka2001].

    >>> round(beer_density(1.050, 1.012, 4.0), 2)
    1012.5
    """
    t = 0.0 * present_gravity + temp_c
    original = original_extract(original_gravity, reference_c)
    residue = _residue_from_gravity(original, present_gravity, reference_c)
    alcohol = distillate_alcohol(original, residue, reference_c)
    return water_density(t) + tabarie_density_excess(residue, alcohol, t)


def sensor_reading(
    original_gravity: float | None,
    present_gravity: Quantity,
    temp_c: Quantity | float,
    *,
    reference_c: float = 20.0,
    sensor_expansion_per_k: float = 0.0,
) -> Quantity:
    """What an uncorrected float reads at `temp_c`: the density over that of water at `reference_c`.

    The mark R of a float of mass m stands for a submerged volume V = m / (R rho_water(reference)). Warmer
    by dT the same mark encloses V (1 + beta dT), and what it displaces still weighs m, so
    R = rho(T) (1 + beta dT) / rho_water(reference): a warm float reads high, as if in a denser liquid.

    Args:    as `beer_density`; sensor_expansion_per_k: [1/K] cubic expansion of the float, 0 to 5e-4.
    Raises:  OutOfRangeError outside these ranges.

    >>> round(sensor_reading(1.050, 1.012, 4.0), 5)
    1.01432
    """
    t = 0.0 * present_gravity + temp_c
    density = beer_density(original_gravity, present_gravity, t, reference_c=reference_c)
    return density * float_swelling(t, reference_c, sensor_expansion_per_k) / water_density(reference_c)


def sg_at_reference(
    original_gravity: float | None,
    reading: Quantity,
    temp_c: Quantity | float,
    *,
    reference_c: float = 20.0,
    sensor_expansion_per_k: float = 0.0,
) -> Quantity:
    """Gravity at `reference_c` of the liquid in which a float reads so at `temp_c`: inverts `sensor_reading`.

    About 0.3 ms a reading, 5 µs in an array; `CorrectionTable` does the same in 1 µs.

    Args:    reading: [-] 0.975 to 1.200.  The others as `sensor_reading`.
    Returns: [SG at reference_c], exact to 1e-11; NaN where reading or temperature is NaN.
    Raises:  OutOfRangeError outside these ranges.

    >>> round(sg_at_reference(1.050, 1.01432, 4.0), 5)
    1.012
    """
    require_range("reading", reading, MIN_READING, MAX_READING, "SG", source="Bubnik1995")
    t = 0.0 * reading + temp_c
    water_at_reference = water_density(reference_c)
    original = original_extract(original_gravity, reference_c)
    density = reading * water_at_reference / float_swelling(t, reference_c, sensor_expansion_per_k)
    residue = _solve_residue(original, density - water_density(t), t, reference_c)
    alcohol = distillate_alcohol(original, residue, reference_c)
    return 1.0 + tabarie_density_excess(residue, alcohol, 0.0 * residue + reference_c) / water_at_reference


def float_swelling(temp_c: Quantity, reference_c: float, sensor_expansion_per_k: float) -> Quantity:
    """Volume of a float at `temp_c` over that at `reference_c`, both [°C]; `sensor_expansion_per_k` [1/K].

    Raises: OutOfRangeError for an expansion outside 0 to 5e-4 per K.
    """
    require_range(
        "sensor_expansion_per_k",
        sensor_expansion_per_k,
        0.0,
        MAX_EXPANSION_PER_K,
        "1/K",
        source="the list of float materials",
    )
    return 1.0 + sensor_expansion_per_k * (temp_c - reference_c)


def _extract_per_ethanol(original: float) -> float:
    # A g of beer is less than a g of wort, since gas and yeast have left it: hence the second term.
    return EXTRACT_PER_ETHANOL - (EXTRACT_PER_ETHANOL - 1.0) * original


def _positive(x: Quantity) -> Quantity:
    return (x + abs(x)) / 2.0


def _residue_parts(residue: Quantity, temp_c: float, water_kg_m3: float) -> tuple[Quantity, Quantity]:
    # [kg/m³] what the residue's sugar adds to the density of water, and that sugar's own concentration.
    extract = _positive(residue)
    sugar = sucrose_density_excess(extract, temp_c)
    return sugar, extract * (water_kg_m3 + sugar)


def _residue_from_gravity(original: float, present_gravity: Quantity, reference_c: float) -> Quantity:
    require_range("present_gravity", present_gravity, 0.95, 1.22, "SG", source="Bubnik1995")
    excess_kg_m3 = (present_gravity - 1.0) * water_density(reference_c)
    return _solve_residue(original, excess_kg_m3, 0.0 * present_gravity + reference_c, reference_c)


def _solve_residue(original: float, excess_kg_m3: Quantity, temp_c: Quantity, reference_c: float) -> Quantity:
    def too_dense_by(residue: Quantity) -> Quantity:
        alcohol = distillate_alcohol(original, residue, reference_c)
        return tabarie_density_excess(residue, alcohol, temp_c) - excess_kg_m3

    zero = 0.0 * excess_kg_m3
    return solve_increasing(too_dense_by, zero + _LOWEST_RESIDUE, zero + MAX_MASS_FRACTION, tolerance=1e-8)
