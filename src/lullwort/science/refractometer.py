"""What a refractometer shows of wort and of fermenting beer, and the gravity behind it.

It measures the refractive index and shows the sucrose solution that has the same, in °Bx. Two things stand between
that and gravity. Wort is no sucrose: it bends light as if it held a few per cent more, by which each instrument's
readings are divided (`wort_factor`). And alcohol bends light as well, so that a reading of beer tells nothing by
itself; only with the original gravity, from which the alcohol follows by Balling's balance, do sugar and alcohol part.

The model: as in Tabarié's rule for density, what residue and distillate, each made up to the volume of the beer, add to
the refractive index of water adds up. What yeast leaves behind beside alcohol (glycerol, acids) is left out; the
uncertainty counts it.
"""

from __future__ import annotations

import math

from lullwort.explained import OURS, Explained
from lullwort.science.beer import distillate_alcohol, original_extract, tabarie_density_excess
from lullwort.science.extract import MAX_MASS_FRACTION, sg_from_plato
from lullwort.science.numerics import horner, require_range, solve_increasing
from lullwort.science.water import water_density
from lullwort.units import Quantity

__all__ = [
    "REFRACTOMETER_EXPLAINED",
    "ethanol_refraction",
    "refractometer_gravity",
    "refractometer_gravity_sd",
    "refractometer_shows",
    "sucrose_refraction",
]

_WORT_FACTOR_SD = 0.02
# Instruments and worts have 1.00 to 1.06. Common practice, no source.
_ETHANOL_SD = 0.05
# Of what alcohol adds. The mixing rule of Lorentz and Lorenz, which errs high, gives 3 to 11 % more than handbooks.
_MODEL_SD = 1.2
# [points] Glycerol and acids, and that residue need not refract as its wort did. Common practice, no source: published
# formulas differ by two or three points among each other.
_HIGHEST_BRIX = 35.0
_LOWEST_RESIDUE = -0.25

# Refractive index at 20 °C and 589 nm above that of water, by powers of the mass fraction from 1.
_SUCROSE = (0.14265, 0.0550, 0.0154)  # [Icumsa1974] 0 to 30 %, to 4e-6
_ETHANOL = (0.0582, 0.0682)  # [CRC] 1 to 16 %, to 8e-5

REFRACTOMETER_EXPLAINED = Explained(
    "gravity by refractometer",
    "n = n_water + S(f r) + E(a): a sugar solution of f times the residue r (wort factor f) and the ethanol a that "
    "Balling's balance of the original gravity gives for it, solved for r; gravity is what r and a weigh",
    f"[Icumsa1974] S and [CRC] E from memory, [Balling1865], [Tabarie]; the mixture is {OURS}",
)


def sucrose_refraction(mass_fraction: Quantity) -> Quantity:
    """By how much sucrose in water raises the refractive index, at 20 °C and 589 nm.

    Args:   mass_fraction: [kg/kg] 0 to 0.35; runs on smoothly below 0, where it describes no liquid.
    Raises: OutOfRangeError above.
    Source: [Icumsa1974], a cubic through its values.

    >>> round(1.33299 + sucrose_refraction(0.20), 5)
    1.36384
    """
    require_range("mass_fraction", mass_fraction, -1.0, _HIGHEST_BRIX / 100.0, "kg/kg", source="Icumsa1974")
    return horner((0.0, *_SUCROSE), mass_fraction)


def ethanol_refraction(mass_fraction: Quantity) -> Quantity:
    """By how much ethanol in water raises the refractive index, at 20 °C and 589 nm.

    Args:   mass_fraction: [kg/kg] 0 to 0.16.
    Raises: OutOfRangeError outside this range.
    Source: [CRC], a parabola through its values.

    >>> round(1.33299 + ethanol_refraction(0.10), 4)
    1.3395
    """
    require_range("mass_fraction", mass_fraction, 0.0, 0.16, "kg/kg", source="CRC")
    return horner((0.0, *_ETHANOL), mass_fraction)


def refractometer_shows(
    original_gravity: float, present_gravity: float, *, wort_factor: float, reference_c: float = 20.0
) -> float:
    """What a refractometer that is right in water shows of wort that has come from one gravity to another [°Bx].

    Args:    original_gravity: [SG] 1.000 to 1.120.  present_gravity: [SG] the driest possible to 1.120.
             wort_factor: °Bx shown of wort over its °P, 0.95 to 1.10.  reference_c: [°C] of both gravities, 0 to 40.
    Raises:  OutOfRangeError outside these ranges.

    >>> [round(refractometer_shows(1.050, g, wort_factor=1.04), 2) for g in (1.050, 1.012)]
    [12.89, 6.67]
    """
    original = _original(original_gravity, reference_c)
    excess = (present_gravity - 1.0) * water_density(reference_c)

    def too_dense_by(residue: float) -> float:
        alcohol = distillate_alcohol(original, residue, reference_c)
        return tabarie_density_excess(residue, alcohol, reference_c) - excess

    residue = solve_increasing(too_dense_by, _LOWEST_RESIDUE, MAX_MASS_FRACTION, tolerance=1e-8)
    bent = _bent(original, residue, wort_factor, reference_c)
    highest = _HIGHEST_BRIX / 100.0
    require_range("reading", bent, sucrose_refraction(-0.05), sucrose_refraction(highest), "", source="Icumsa1974")
    return 100.0 * solve_increasing(lambda w: sucrose_refraction(w) - bent, -0.05, highest, tolerance=1e-10)


def refractometer_gravity(
    original_gravity: float | None, brix: float, *, wort_factor: float, reference_c: float = 20.0
) -> float:
    """Gravity of the wort, or of the beer that it has become, of which a refractometer shows so many °Bx.

    Above what its wort would show it is a sugar solution without alcohol; below what its driest beer would show, such a
    beer made lighter.

    Args:    original_gravity: [SG] 1.000 to 1.120; None: unfermented wort.  brix: [°Bx] -2 to 30.
             wort_factor: °Bx shown of wort over its °P, 0.95 to 1.10.  reference_c: [°C] of both gravities, 0 to 40.
    Returns: [SG at reference_c].
    Raises:  OutOfRangeError outside these ranges.
    Source:  the module; [Icumsa1974], [CRC], [Balling1865], [Tabarie].

    >>> round(refractometer_gravity(None, 12.89, wort_factor=1.04), 4)
    1.05
    >>> round(refractometer_gravity(1.050, 6.67, wort_factor=1.04), 4)
    1.012
    """
    require_range("brix", brix, -2.0, 30.0, "°Bx", source="Icumsa1974")
    require_range("wort_factor", wort_factor, 0.95, 1.10, "", source="the list of wort factors")
    if original_gravity is None:
        return sg_from_plato(brix / wort_factor, reference_c)
    return _gravity(_original(original_gravity, reference_c), brix, wort_factor, reference_c)


def refractometer_gravity_sd(
    original_gravity: float | None,
    brix: float,
    *,
    wort_factor: float,
    original_sd: float = 0.0,
    reference_c: float = 20.0,
) -> tuple[float, float]:
    """How sure `refractometer_gravity` is: points for each °Bx read wrong, and what is wrong all the same.

    Args:    original_sd: [points] standard deviation of the original gravity.  The others as there.
    Returns: [points/°Bx], and [points] the standard deviation by the wort factor, by the original gravity, by what
             alcohol adds and by what the model leaves out.
    Raises:  OutOfRangeError as there.

    >>> slope, sd = refractometer_gravity_sd(1.050, 6.67, wort_factor=1.04, original_sd=0.7)
    >>> round(slope, 1), round(sd, 1)
    (6.0, 1.5)
    """

    def points(wort: float | None = original_gravity, shown: float = brix, factor: float = wort_factor) -> float:
        return 1000.0 * refractometer_gravity(wort, shown, wort_factor=factor, reference_c=reference_c)

    here = points()
    slope = (here - points(shown=brix - 0.1)) / 0.1
    by_factor = here - points(factor=wort_factor - _WORT_FACTOR_SD)
    if original_gravity is None:
        return slope, abs(by_factor)
    by_original = here - points(wort=max(1.0, original_gravity - original_sd / 1000.0))
    original = _original(original_gravity, reference_c)
    residue = _residue(original, brix, wort_factor, reference_c)
    alcohol = distillate_alcohol(original, residue, reference_c)
    by_ethanol = slope * 100.0 * _ETHANOL_SD * _alcohol_bends(alcohol) / _SUCROSE[0]
    return slope, math.hypot(by_factor, by_original, by_ethanol, _MODEL_SD)


def _original(original_gravity: float, reference_c: float) -> float:
    # Up to here no beer of it holds more alcohol than the refraction is known for.
    require_range("original_gravity", original_gravity, 1.0, 1.12, "SG", source="CRC")
    return original_extract(original_gravity, reference_c)


def _alcohol_bends(alcohol: float) -> float:
    return ethanol_refraction(min(alcohol, 0.16))


def _bent(original: float, residue: float, wort_factor: float, reference_c: float) -> float:
    alcohol = distillate_alcohol(original, residue, reference_c)
    return horner((0.0, *_SUCROSE), wort_factor * residue) + _alcohol_bends(alcohol)


def _residue(original: float, brix: float, wort_factor: float, reference_c: float) -> float:
    wanted = sucrose_refraction(brix / 100.0)
    return solve_increasing(
        lambda residue: _bent(original, residue, wort_factor, reference_c) - wanted,
        _LOWEST_RESIDUE,
        MAX_MASS_FRACTION,
        tolerance=1e-11,
    )


def _gravity(original: float, brix: float, wort_factor: float, reference_c: float) -> float:
    residue = _residue(original, brix, wort_factor, reference_c)
    alcohol = distillate_alcohol(original, residue, reference_c)
    return 1.0 + tabarie_density_excess(residue, alcohol, reference_c) / water_density(reference_c)
