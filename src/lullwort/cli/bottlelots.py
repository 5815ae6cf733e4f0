"""Bottles as brewers count them: how many of each size."""

from __future__ import annotations

import re

from lullwort.cli.values import volume_l
from lullwort.errors import UsageError
from lullwort.packaging_day import lots_say
from lullwort.records import BottleLot
from lullwort.settings import Settings
from lullwort.units import VolumeUnit, to_litres

__all__ = ["BOTTLES", "bottle_lots", "lots_say"]

BOTTLES = "'24x330mL, 10x0.5L'"
"""How such lots are called in the help of a command."""

_LOT = re.compile(r"(?:(?P<count>[0-9]+)\s*[x×*]\s*)?(?P<size>[0-9]*[.,]?[0-9]+\s*(?P<unit>[a-z .]*))", re.IGNORECASE)
_APART = re.compile(r"\s*(?:;|\+|,\s*(?=[0-9]+\s*[x×*])|,\s+)\s*")
# A comma parts lots where a lot may follow it: in 2x0,33L it is a decimal mark.
_US_FL_OZ_L = 3.785411784 / 128.0
_OUNCE = re.compile(r"(?P<number>[0-9]*[.,]?[0-9]+)\s*(?:us\s*)?(?:fl\.?\s*)?oz\.?", re.IGNORECASE)


def bottle_lots(text: str, name: str, settings: Settings) -> tuple[BottleLot, ...]:
    """Lots from `24x330mL, 10x0.5L`, `48x12oz`; a size alone stands for as many as it takes, count 0.

    A number without a unit is in litres, in millilitres from 50 on; an ounce is a US fluid ounce. Raises UsageError.

    >>> from pathlib import Path
    >>> bottle_lots("24x330mL, 10 x 0,5L", "--bottles", Settings(Path("b"), "sg", "C", None))
    (BottleLot(volume_l=0.33, count=24), BottleLot(volume_l=0.5, count=10))
    """
    return tuple(_lot(part, text, name, settings) for part in _APART.split(text.strip()) if part)


def _lot(part: str, text: str, name: str, settings: Settings) -> BottleLot:
    found = _LOT.fullmatch(part.strip())
    if found is None:
        raise UsageError(f"{name} is {text!r}, expected bottles such as {BOTTLES}")
    size_l = _size_l(found["size"], found["unit"], name, settings)
    if not 0.05 <= size_l <= 1000.0:
        meant = f"; {found['size'].strip()}mL was probably meant" if 50.0 <= size_l / _litre(settings) <= 5000.0 else ""
        raise UsageError(f"{name} is {text!r}, expected bottles of 50 mL or more, such as {BOTTLES}{meant}")
    return BottleLot(round(size_l, 6), int(found["count"] or 0))


def _litre(settings: Settings) -> float:
    return to_litres(1.0, settings.volume)


def _size_l(size: str, unit: str, name: str, settings: Settings) -> float:
    if ounces := _OUNCE.fullmatch(size.strip()):
        return float(ounces["number"].replace(",", ".")) * _US_FL_OZ_L
    if not unit.strip():
        value = float(size.strip().replace(",", "."))
        bare: VolumeUnit = "mL" if value >= 50.0 else "L"
        return to_litres(value, bare)
    return volume_l(size, name, settings)
