"""Bottles as brewers count them: how many of each size."""

from __future__ import annotations

import re

from lullwort.cli.values import number, volume_l
from lullwort.collector import BOTTLE_SIZES_L, MOST_BOTTLES
from lullwort.errors import UsageError
from lullwort.records import BottleLot
from lullwort.settings import Settings
from lullwort.units import to_litres

__all__ = ["BOTTLES", "bottle_lots", "serving_l"]

BOTTLES = "'24x330mL, 10x0.5L'"
"""How such lots are called in the help of a command."""

_SIZE = r"[0-9]*[.,]?[0-9]+"
_TIMES = r"\s*(?:[x×*@]|of\b|bottles\s+of\b)\s*"
_COUNTED = re.compile(rf"(?P<count>[0-9]+){_TIMES}(?P<size>{_SIZE}\s*(?P<unit>[a-z .]*))", re.IGNORECASE)
_SIZE_FIRST = re.compile(rf"(?P<size>{_SIZE}\s*(?P<unit>[a-z][a-z .]*?))\s*[x×*]\s*(?P<count>[0-9]+)", re.IGNORECASE)
_UNCOUNTED = re.compile(rf"(?:as many as it takes of\s+)?(?P<size>{_SIZE}\s*(?P<unit>[a-z .]*))", re.IGNORECASE)
_APART = re.compile(rf"\s*(?:;|\+|\band\b|,\s*(?=[0-9]+{_TIMES})|,\s+)\s*", re.IGNORECASE)
# A comma parts lots where a lot may follow it: in 2x0,33L it is a decimal mark.
_OUNCE = re.compile(rf"(?P<number>{_SIZE})\s*(?P<land>us|imp)?\s*(?:fl\.?\s*)?oz\.?", re.IGNORECASE)
_US_OUNCE_L, _IMPERIAL_OUNCE_L = to_litres(1.0, "us gal") / 128.0, to_litres(1.0, "imp gal") / 160.0
_LITRES_TO, _MILLILITRES_FROM = 5.0, 50.0
# What a bare number can only mean: nobody bottles 5 mL, nor calls a keg of 50 L a bottle.
_MANY = 100
# More bottles than are filled of one size, where the other number is no size: the two are swapped.


def bottle_lots(text: str, name: str, settings: Settings) -> tuple[BottleLot, ...]:
    """Lots from `24x330mL, 10x0.5L`, `48*12oz` or `330mL x 24`; a size alone stands for as many as it takes, count 0.

    A number without a unit is in litres up to 5 (beside gallons below 1) and in millilitres from 50 on; an ounce is a
    fluid ounce, an imperial one beside imperial gallons. Raises UsageError.

    >>> from pathlib import Path
    >>> bottle_lots("24x330mL, 10 x 0,5L", "--bottles", Settings(Path("b"), "sg", "C", None))
    (BottleLot(volume_l=0.33, count=24), BottleLot(volume_l=0.5, count=10))
    """
    return tuple(_lot(part.strip(), text, name, settings) for part in _APART.split(text.strip()) if part.strip())


def _lot(part: str, text: str, name: str, settings: Settings) -> BottleLot:
    found = next((f for form in (_COUNTED, _SIZE_FIRST, _UNCOUNTED) if (f := form.fullmatch(part))), None)
    if found is None:
        raise UsageError(f"{name} is {text!r}, expected bottles such as {BOTTLES}")
    counted = found.groupdict().get("count")
    count = 0 if counted is None else int(counted)
    size_l = _size_l(found["size"].strip(), found["unit"].strip(), count, text, name, settings)
    if counted is not None and not 1 <= count <= MOST_BOTTLES:
        raise UsageError(f"{name} is {text!r}, expected one bottle or more of each size, up to {MOST_BOTTLES}")
    least, most = BOTTLE_SIZES_L
    if not least <= size_l <= most:
        bare = re.sub(r"[^0-9.,]", "", found["size"])
        meant = f"; {bare}mL was probably meant" if least <= number(bare, name) / 1000.0 <= most else ""
        raise UsageError(
            f"{name} is {text!r}, expected bottles of {settings.units.serving(least)} or more, such as {BOTTLES}{meant}"
        )
    return BottleLot(round(size_l, 6), count)


def serving_l(text: str, name: str, settings: Settings) -> float:
    """[L] A small volume: as any, or in fluid ounces as bottles are told. Raises UsageError."""
    ounces = _ounces_l(text.strip(), name, settings)
    return volume_l(text, name, settings) if ounces is None else ounces


def _ounces_l(text: str, name: str, settings: Settings) -> float | None:
    """[L] Of fluid ounces; None of anything else."""
    found = _OUNCE.fullmatch(text)
    if found is None:
        return None
    imperial = (found["land"] or "").lower() == "imp" or (settings.volume == "imp gal" and not found["land"])
    return number(found["number"], name) * (_IMPERIAL_OUNCE_L if imperial else _US_OUNCE_L)


def _size_l(size: str, unit: str, count: int, text: str, name: str, settings: Settings) -> float:
    ounces = _ounces_l(size, name, settings)
    if ounces is not None:
        return ounces
    if unit:
        return volume_l(size, name, settings)
    return _bare_l(size, count, text, name, settings)


def _bare_l(size: str, count: int, text: str, name: str, settings: Settings) -> float:
    value = number(size, name)
    if value >= _MILLILITRES_FROM:
        return to_litres(value, "mL")
    in_gallons = settings.volume != "L"
    if value > _LITRES_TO and count >= _MANY:
        raise UsageError(f"{name} is {text!r}; {size}x{count}mL was probably meant")
    if not count and value > _LITRES_TO and value == int(value):
        sizes = ("12oz", "22oz") if settings.volume == "us gal" else ("330mL", "500mL")
        so_many = " or ".join(f"{size}x{each}" for each in sizes)
        raise UsageError(
            f"{name} is {text!r}: so many bottles of which size? Write {so_many}, or {size}cL or {size}oz where that "
            "is their size"
        )
    if value > _LITRES_TO or (in_gallons and value >= 1.0):
        units = ["cL", "oz", "L", *([settings.volume] if in_gallons else [])]
        written = ", ".join(f"{size}{unit}" for unit in units[:-1])
        raise UsageError(f"{name} is {text!r}, which may be many things: write {written} or {size}{units[-1]}")
    return value
