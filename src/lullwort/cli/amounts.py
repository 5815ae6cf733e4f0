"""What went into a brew, as brewers type it: a weight with what it is of."""

from __future__ import annotations

import difflib
import re
from typing import NamedTuple

from lullwort.cli.values import number, volume_l
from lullwort.detector import Units
from lullwort.errors import UsageError
from lullwort.packaging_day import SPREAD
from lullwort.science import INGREDIENTS, Ingredient, water_kg
from lullwort.settings import Settings
from lullwort.units import MassUnit, to_grams

__all__ = ["AMOUNT", "CALLED", "KINDS", "Weighed", "per_cent_within", "positive_volume_l", "volume_sd_l", "weighed"]

AMOUNT = "'AMOUNT KIND'"
"""How such an amount is called in the help of a command."""

_UNITS: dict[str, MassUnit] = {"g": "g", "kg": "kg", "lb": "lb", "lbs": "lb", "oz": "oz"}
_KG = {name: to_grams(1.0, unit) / 1000.0 for name, unit in _UNITS.items()}
_TYPED = re.compile(
    r"(?P<number>[+-]?[0-9]*[.,]?[0-9]+)\s*(?P<unit>(?:us|imp)?\s*gal|kg|g|lbs?|oz|ml|l)?\s*(?P<kind>[a-z][a-z-]*)"
    r"(?:\s+(?P<sugar>[0-9]*[.,]?[0-9]+)\s*%)?",
    re.IGNORECASE,
)
_BARE = re.compile(r"[+-]?[0-9]*[.,]?[0-9]+\s*(?:(?:us|imp)?\s*gal|kg|g|lbs?|oz|ml|l)?", re.IGNORECASE)
KINDS = ", ".join(name for name in INGREDIENTS if name != "water")
CALLED = {
    "sugar": "sucrose", "table-sugar": "sucrose", "cane-sugar": "sucrose", "beet-sugar": "sucrose",
    "saccharose": "sucrose", "glucose": "dextrose", "corn-sugar": "dextrose", "dextrose-monohydrate": "dextrose",
    "dme": "dry-malt-extract", "lme": "liquid-malt-extract", "fruits": "fruit",
}  # fmt: skip
"""Other names of the trade for the same."""
_EXPECTED = (
    f"a weight and what it is of, as '500g sucrose' or '2kg fruit 12%' ({KINDS}), or water by volume, as '2L water'"
)


class Weighed(NamedTuple):
    """So much of an ingredient [kg], and how it is told."""

    ingredient: Ingredient
    mass_kg: float

    def says(self, units: Units) -> str:
        """As '500 g sucrose'; water by volume."""
        if self.ingredient.name == "water":
            return f"{units.amount(self.mass_kg / water_kg(1.0))} of water"
        return f"{units.mass(1000.0 * self.mass_kg)} of {self.ingredient.name.replace('-', ' ')}"


def weighed(text: str, name: str, settings: Settings) -> Weighed:
    """An amount of something. Raises UsageError that says what was probably meant.

    >>> from pathlib import Path
    >>> settings = Settings(Path("b"), "sg", "C", None)
    >>> weighed("0,5 kg sugar", "--added", settings).says(Units())
    '500 g of sucrose'
    >>> weighed("2kg fruit 12 %", "--added", settings).ingredient.extract
    0.12
    """
    if _BARE.fullmatch(text.strip()):
        raise UsageError(f"{name} is {text!r}: of what? Expected {_EXPECTED}")
    found = _TYPED.fullmatch(text.strip())
    if found is None:
        raise UsageError(f"{name} is {text!r}, expected {_EXPECTED}")
    called = found["kind"].lower()
    called = CALLED.get(called, called)
    if called == "water":
        return Weighed(
            INGREDIENTS["water"], water_kg(_water_l(found["number"] + (found["unit"] or ""), name, settings))
        )
    ingredient = INGREDIENTS.get(called)
    if ingredient is None:
        near = difflib.get_close_matches(called, [*INGREDIENTS, *CALLED], n=1, cutoff=0.6)
        hint = f"did you mean {near[0]}?" if near else f"expected one of {KINDS} or water"
        raise UsageError(f"{name} is {text!r}: {called!r} is not known; {hint}")
    unit = (found["unit"] or "").lower()
    if unit not in _KG:
        of_volume = "; only water goes by volume, all else by weight" if unit else ""
        raise UsageError(f"{name} is {text!r}: expected g, kg, lb or oz after the number{of_volume}")
    mass_kg = number(found["number"], name) * _KG[unit]
    if mass_kg <= 0.0:
        raise UsageError(f"{name} is {text!r}, expected more than nothing")
    if found["sugar"]:
        ingredient = _with_sugar(ingredient, number(found["sugar"], name), text, name)
    return Weighed(ingredient, mass_kg)


def _with_sugar(ingredient: Ingredient, per_cent: float, text: str, name: str) -> Ingredient:
    most = 100.0 * (ingredient.extract + ingredient.water)
    if not 0.0 <= per_cent <= most:
        raise UsageError(f"{name} is {text!r}: {ingredient.name} holds at most {most:.0f} % of sugar, by weight")
    return ingredient.with_sugar(per_cent / 100.0)


def _water_l(text: str, name: str, settings: Settings) -> float:
    bare = text.strip()
    for unit, kg in _KG.items():
        if re.fullmatch(rf"[+-]?[0-9.,]+\s*{unit}", bare, re.IGNORECASE):
            return number(re.sub(r"[a-zA-Z ]", "", bare), name) * kg / water_kg(1.0)
    return positive_volume_l(bare, name, settings)


def positive_volume_l(text: str, name: str, settings: Settings) -> float:
    """[L] A volume of more than nothing. Raises UsageError."""
    volume = volume_l(text, name, settings)
    if not 0.0 < volume <= 100_000.0:
        meant = f"; {text.strip().lstrip('-')} was probably meant" if volume < 0.0 else ""
        raise UsageError(f"{name} is {text!r}, expected a volume of more than nothing, such as 19L{meant}")
    return volume


def volume_sd_l(text: str | None, volume: float, name: str, settings: Settings) -> float:
    """[L] Standard deviation of a volume: by what it is said to be within 9 times in 10, else 2 % of it."""
    if text is None:
        return _VOLUME_SHARE * volume
    within = volume_l(text, name, settings)
    if not 0.0 <= within < volume:
        raise UsageError(f"{name} is {text!r}, expected by how much the volume may be off, such as 0.5L")
    return within / SPREAD


def per_cent_within(text: str | None, name: str) -> float:
    """Standard deviation, as a share, of what is right within so many per cent 9 times in 10; else 1 %."""
    if text is None:
        return _WEIGHT_SHARE
    within = number(text.replace("%", ""), name) / 100.0
    if not 0.0 <= within < 1.0:
        raise UsageError(f"{name} is {text!r}, expected per cent from 0 to 100, such as 2")
    return within / SPREAD


_VOLUME_SHARE, _WEIGHT_SHARE = 0.02, 0.01
# Of a marked bucket, and of a kitchen scale. Common practice, no source.
