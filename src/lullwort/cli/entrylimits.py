"""What of a batch is typed with a unit, held against its limits in that unit, and with what was probably meant."""

from __future__ import annotations

from lullwort.cli.values import gravity_difference, temp_c, volume_l
from lullwort.detector import value_range
from lullwort.errors import UsageError
from lullwort.records import PLACE_C, TOLERANCE_POINTS, VOLUME_L
from lullwort.settings import Settings
from lullwort.units import from_celsius

__all__ = ["other_degree", "place_c", "tolerance_sg", "vessel_l"]


def place_c(text: str, option: str, settings: Settings) -> float:
    """[°C] Of a place where beer ferments. Raises UsageError.

    A number without its unit that would be frost is asked after: what a yeast bears less than it truly does lets cold
    hours prove an end.
    """
    value, units = temp_c(text, option, settings), settings.units
    if asks := other_degree(text, option, value, settings):
        raise UsageError(asks)
    low, high = PLACE_C
    if low <= value <= high:
        return value
    raise UsageError(f"{option} is {text!r}, expected {value_range(units.temp(low, 0), units.temp(high, 0))}")


def other_degree(text: str, option: str, value_c: float, settings: Settings) -> str:
    """What to write where a number without its unit is a liquid's temperature in the other degree only; else nothing.

    Args:    value_c: [°C] as which the settings read it.
    """
    if not text.strip()[-1:].isdigit():
        return ""
    if settings.temperature == "F":
        other, typed = "C", from_celsius(value_c, "F")
        wrong = value_c < 0.0 <= typed
    else:
        other, typed = "F", value_c
        wrong = 50.0 <= value_c <= 104.0
    shown = settings.units.short(typed)
    it_is = f"{option} is {text!r}, which is {shown} °{settings.temperature}"
    return f"{it_is}: if {shown} °{other} are meant, write {shown}{other}" if wrong else ""


def vessel_l(text: str, option: str, settings: Settings) -> float:
    """[L] What a vessel holds. Raises UsageError."""
    value, units = volume_l(text, option, settings), settings.units
    low, high = VOLUME_L
    if low <= value <= high:
        return value
    within = value_range(units.amount(low, 2), units.amount(high, 0))
    raise UsageError(f"{option} is {text!r}, expected {within}: is its unit right?")


def tolerance_sg(text: str, option: str, settings: Settings) -> float:
    """[SG] By how much gravity may move. Raises UsageError."""
    points, units = gravity_difference(text, option, settings), settings.units
    low, high = TOLERANCE_POINTS
    if low <= points <= high:
        return points / 1000.0
    within = f"{units.difference(low)} to {units.difference(high)}"
    raise UsageError(f"{option} is {text!r}, expected {within}: is its unit right?")
