"""What brewers type, understood: gravities, temperatures, times. Decimal commas are taken everywhere."""

from __future__ import annotations

import re
import time
from datetime import datetime
from typing import Literal

from lullwort.cli.lines import say
from lullwort.errors import UsageError
from lullwort.records import from_datetime, zone_info
from lullwort.science import to_sg
from lullwort.settings import Settings
from lullwort.units import to_celsius

__all__ = [
    "gravity_range",
    "gravity_sg",
    "gravity_unit",
    "instant",
    "now_us",
    "number",
    "share_range",
    "temp_c",
    "warn_of_future",
]

_SUFFIXED = re.compile(r"(?P<number>.*?)\s*(?:(?P<plato>°?\s*p)|(?P<sg>sg))?", re.IGNORECASE)
_GRAVITY = re.compile(r"[+-]?[0-9]*[.,]?[0-9]+\s*(°?\s*p|sg)?", re.IGNORECASE)
_LIKE_SG = re.compile(r"[01][.,][0-9]{2,}")
_SG_OF_BEER = (0.98, 1.2)
_SUFFIXES = "a number may carry its unit, as 1.052SG or 12.9P"


def number(text: str, name: str) -> float:
    """A number with decimal point or comma. Raises UsageError.

    >>> number("1,5", "--volume")
    1.5
    """
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise UsageError(f"{name} is {text!r}, expected a number") from None


def gravity_unit(text: str, settings: Settings) -> Literal["sg", "plato"]:
    """The unit in which a gravity was typed: that of its suffix `SG` or `P`, or else the settings'."""
    suffixed = _SUFFIXED.fullmatch(text.strip())
    if suffixed is not None and (suffixed["plato"] or suffixed["sg"]):
        return "plato" if suffixed["plato"] else "sg"
    return "plato" if settings.gravity == "plato" else "sg"


def gravity_sg(text: str, name: str, settings: Settings) -> float:
    """SG from `1.052` or `1,052`, or from `12.9` where the settings say plato; from `1.052SG` and `12.9P` anywhere.

    Raises: UsageError, also for a number without a suffix that looks like SG where the settings say plato.

    >>> from pathlib import Path
    >>> round(gravity_sg("12,9P", "--original-gravity", Settings(Path("b"), "sg", "C", None)), 4)
    1.0521
    >>> gravity_sg("1,026 sg", "--gravity-read", Settings(Path("b"), "plato", "C", None))
    1.026
    """
    suffixed = _SUFFIXED.fullmatch(text.strip())
    bare = text.strip() if suffixed is None else suffixed["number"]
    value = number(bare, name)
    if gravity_unit(text, settings) == "plato":
        # Taken as °P, a beer far from its end would pass for one that has ended.
        if bare == text.strip() and _LIKE_SG.fullmatch(bare) and _SG_OF_BEER[0] <= value <= _SG_OF_BEER[1]:
            plato = f"{value:.2f}".replace(".", "," if "," in bare else ".")
            raise UsageError(f"{name}: {bare} reads as SG: write {bare}SG, or {plato}P where degrees Plato are meant")
        if not -5.0 <= value <= 45.0:
            raise UsageError(f"{name} is {text!r}, expected degrees Plato between -5 and 45; {_SUFFIXES}")
        return to_sg(value, "plato")
    if not 0.9 <= value <= 1.3:
        hint = ""
        if 900.0 <= value <= 1300.0:
            hint = f"; {value / 1000.0:.3f} was probably meant"
        elif 1.3 < value <= 45.0:
            hint = f"; if degrees Plato are meant, write {value:g}P"
        raise UsageError(f"{name} is {text!r}, expected a specific gravity such as 1.052{hint}; {_SUFFIXES}")
    return value


def gravity_range(text: str, name: str, settings: Settings) -> tuple[float, float]:
    """One gravity, or two with `to` between them. Raises UsageError.

    >>> from pathlib import Path
    >>> gravity_range("1.010 to 1.014", "--expected", Settings(Path("b"), "sg", "C", None))
    (1.01, 1.014)
    """
    parts = text.split("to")
    if len(parts) > 2 or not all(_GRAVITY.fullmatch(part.strip()) for part in parts):
        raise UsageError(f"{name} is {text!r}, expected one gravity or two as '1.010 to 1.014'")
    values = [gravity_sg(part, name, settings) for part in parts]
    return values[0], values[-1]


def share_range(text: str, name: str) -> tuple[float, float]:
    """A range of per cent as `70 to 80`, or one number; given as shares of one. Raises UsageError.

    >>> share_range("70 to 80", "--expected-attenuation")
    (0.7, 0.8)
    """
    values = [number(part, name) / 100.0 for part in text.replace("%", "").split("to")]
    if len(values) > 2:
        raise UsageError(f"{name} is {text!r}, expected per cent as '70 to 80'")
    return values[0], values[-1]


def temp_c(text: str, name: str, settings: Settings) -> float:
    """°C from `20`, `68F`, `20 C`; without a letter the settings' unit holds. Raises UsageError.

    >>> from pathlib import Path
    >>> temp_c("68F", "--yeast-min", Settings(Path("b"), "sg", "C", None))
    20.0
    """
    bare = text.strip().upper()
    unit = settings.temperature
    if bare.endswith(("C", "F")):
        bare, unit = bare[:-1].rstrip(" °"), bare[-1]
    return round(to_celsius(number(bare, name), "F" if unit == "F" else "C"), 6)


def instant(text: str, name: str, settings: Settings) -> int:
    """Microseconds since 1970 UTC from ISO 8601, or `now`; without an offset the settings' zone holds.

    Raises UsageError where neither gives a zone.
    """
    if text.strip().lower() == "now":
        return now_us()
    try:
        moment = datetime.fromisoformat(text.strip())
    except ValueError:
        raise UsageError(f"{name} is {text!r}, expected a time such as 2026-03-02T09:00+01:00, or now") from None
    if moment.utcoffset() is None:
        if settings.zone is None:
            raise UsageError(
                f"{name} is {text!r}, which has no zone: add an offset such as Z or +01:00, or state a zone "
                "with --zone or in the settings"
            )
        moment = moment.replace(tzinfo=zone_info(settings.zone))
    return from_datetime(moment)


def warn_of_future(at_us: int, name: str) -> None:
    """Say on standard error that a moment has not come yet: most likely a slip of the pen."""
    if at_us > now_us():
        say(f"{name} lies in the future: is that meant?", err=True)


def now_us() -> int:
    """The present instant [µs since 1970 UTC]; the only clock of the commands."""
    return time.time_ns() // 1000
