"""What brewers type, understood: gravities, temperatures, volumes, times. Decimal commas are taken everywhere."""

from __future__ import annotations

import re
import time
from datetime import datetime

import msgspec

from lullwort.cli.lines import say
from lullwort.decimalmark import with_mark
from lullwort.detector import ShownGravity
from lullwort.errors import UsageError
from lullwort.records import from_datetime, zone_info
from lullwort.science import from_sg, to_sg
from lullwort.settings import Settings
from lullwort.units import VolumeUnit, to_celsius, to_litres

__all__ = [
    "gravity_difference",
    "gravity_range",
    "gravity_sg",
    "gravity_unit",
    "instant",
    "now_us",
    "number",
    "points_put_in",
    "refuse_future",
    "share_range",
    "temp_c",
    "told_at",
    "volume_l",
    "warn_of_future",
]

_SUFFIXED = re.compile(
    r"(?P<number>.*?)\s*(?:(?P<plato>°?\s*p|°?\s*plato)|(?P<sg>sg)|(?P<points>pts?|points?))?", re.IGNORECASE
)
_GRAVITY = re.compile(r"[+-]?[0-9]*[.,]?[0-9]+\s*(°?\s*p|°?\s*plato|sg|pts?|points?)?", re.IGNORECASE)
_LIKE_SG = re.compile(r"[01][.,][0-9]{2,}")
_SG_OF_BEER = (0.98, 1.2)
_DIFFERENCE_LIKE_SG = 0.03
_LIKE_A_SHARE = 0.0125
# Of one, of what is typed in per cent: 1.25 % is as little as no beer attenuates.
_SUFFIXES = "a number may carry its unit, as 1.052SG, 52pt or 12.9P"
_VOLUME = re.compile(r"(?P<number>[+-]?[0-9]*[.,]?[0-9]+)\s*(?P<unit>[^0-9]*)")
_GALLON = re.compile(r"(us|imp|imperial|uk)?gal(?:s|lons?)?")
_METRIC: dict[str, VolumeUnit] = {
    "l": "L", "litre": "L", "litres": "L", "liter": "L", "liters": "L", "ml": "mL", "millilitres": "mL",
    "cl": "cL", "hl": "hL",
}  # fmt: skip


def number(text: str, name: str) -> float:
    """A number with decimal point or comma. Raises UsageError.

    >>> number("1,5", "--volume")
    1.5
    """
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise UsageError(f"{name} is {text!r}, expected a number") from None


def gravity_unit(text: str, settings: Settings) -> ShownGravity:
    """The unit in which a gravity was typed: that of its suffix `SG`, `P` or `pt`, or else the settings'."""
    return _parted(text, settings)[1]


def _parted(text: str, settings: Settings) -> tuple[str, ShownGravity, bool]:
    """A typed gravity: its number, its unit, and whether it stated that itself."""
    found = _SUFFIXED.fullmatch(text.strip())
    for unit in _GRAVITIES:
        if found is not None and found[unit]:
            return found["number"], unit, True
    return text.strip(), settings.gravity, False


_GRAVITIES: tuple[ShownGravity, ...] = ("sg", "plato", "points")


def gravity_sg(text: str, name: str, settings: Settings) -> float:
    """SG from `1.052` or `1,052`, or from `12.9` or `52` where the settings say plato or points; from `1.052SG`,
    `12.9P` and `52pt` anywhere.

    Raises: UsageError, also for a number without a suffix that looks like SG where the settings say another unit.

    >>> from pathlib import Path
    >>> round(gravity_sg("12,9P", "--original-gravity", Settings(Path("b"), "sg", "C", None)), 4)
    1.0521
    >>> gravity_sg("1,026 sg", "--gravity-read", Settings(Path("b"), "plato", "C", None))
    1.026
    """
    bare, unit, stated = _parted(text, settings)
    value = number(bare, name)
    if unit == "sg":
        return _checked_sg(value, text, name)
    # Taken as °P or points, a beer far from its end would pass for one that has ended.
    if not stated and _LIKE_SG.fullmatch(bare) and _SG_OF_BEER[0] <= value <= _SG_OF_BEER[1]:
        suffix, words = _MEANT[unit]
        meant = with_mark(f"{value:.2f}", "comma" if "," in bare else "point")
        raise UsageError(f"{name}: {bare} reads as SG: write {bare}SG, or {meant}{suffix} where {words} are meant")
    low, high = _WITHIN[unit]
    if not low <= value <= high:
        hint = f"; {value / 1000.0:.3f}SG was probably meant" if 900.0 <= value <= 1300.0 else ""
        if unit == "plato" and high < value <= 200.0:
            hint = f"; if points are meant, write {bare}pt"
        raise UsageError(
            f"{name} is {text!r}, expected {_MEANT[unit][1]} between {low:g} and {high:g}{hint or f'; {_SUFFIXES}'}"
        )
    return to_sg(value, unit)


_MEANT: dict[ShownGravity, tuple[str, str]] = {"plato": ("P", "degrees Plato"), "points": ("pt", "points")}
_WITHIN: dict[ShownGravity, tuple[float, float]] = {"plato": (-5.0, 45.0), "points": (-100.0, 300.0)}


def _checked_sg(value: float, text: str, name: str) -> float:
    if 0.9 <= value <= 1.3:
        return value
    hint = ""
    if 900.0 <= value <= 1300.0:
        hint = f"; {value / 1000.0:.3f} was probably meant"
    elif 1.3 < value <= 45.0:
        hint = f"; if degrees Plato are meant, write {value:g}P, if points, {value:g}pt"
    elif 45.0 < value <= 200.0:
        hint = f"; if points are meant, write {value:g}pt"
    raise UsageError(f"{name} is {text!r}, expected a specific gravity such as 1.052{hint or f'; {_SUFFIXES}'}")


def gravity_difference(text: str, name: str, settings: Settings) -> float:
    """[points] A difference of gravities: `0.001`, or `0.25` or `1` where the settings say plato or points; with a
    suffix anywhere. Near beer's end 1 °P is 4 points.

    Raises: UsageError, also for a number without a suffix that looks like one in another unit.

    >>> from pathlib import Path
    >>> [round(gravity_difference(t, "--tolerance", Settings(Path("b"), "sg", "C", None)), 2)
    ...     for t in ("0.001", "1,5pt", "0.25P")]
    [1.0, 1.5, 0.98]
    """
    bare, unit, stated = _parted(text, settings)
    value = number(bare, name)
    if not stated and unit == "sg" and abs(value) >= 0.1:
        raise UsageError(
            f"{name}: {bare} is no difference in SG, such as 0.001: write {bare}pt where points are meant, {bare}P "
            "where degrees Plato are"
        )
    if not stated and unit != "sg" and 0.0 < abs(value) < _DIFFERENCE_LIKE_SG:
        suffix, words = _MEANT[unit]
        raise UsageError(f"{name}: {bare} reads as SG: write {bare}SG, or {bare}{suffix} where {words} are meant")
    if unit == "plato":
        if not -10.0 <= value <= 35.0:
            raise UsageError(f"{name} is {text!r}, expected degrees Plato between -10 and 35; {_SUFFIXES}")
        return (to_sg(from_sg(_NEAR_END_SG, "plato") + value, "plato") - _NEAR_END_SG) * 1000.0
    return value * 1000.0 if unit == "sg" else value


def points_put_in(text: str, name: str, settings: Settings) -> float:
    """[points] What an addition put in: points unless the number carries another unit. Raises UsageError.

    >>> from pathlib import Path
    >>> [points_put_in(t, "--points", Settings(Path("b"), "sg", "C", None)) for t in ("8", "8 points", "0.008SG")]
    [8.0, 8.0, 8.0]
    """
    return gravity_difference(text, name, msgspec.structs.replace(settings, gravity="points"))


_NEAR_END_SG = 1.010
"""Where a difference in °P is turned into points, as `Units.difference` turns it back."""


def _ends(text: str) -> list[str]:
    """What stands on either side of `to`, or of a dash after a number: one that nothing stands before is a minus.

    >>> _ends("1.010-1.014"), _ends("-1P to -0.5P"), _ends("-1.5P")
    (['1.010', '1.014'], ['-1P', '-0.5P'], ['-1.5P'])
    """
    return [part.strip() for part in _BETWEEN.split(text)]


_BETWEEN = re.compile(r"to|(?<=[0-9a-z°])(?<!to)\s*[-\u2010-\u2015\u2212]\s*(?=[+-]?[.,]?[0-9])", re.IGNORECASE)
# Hyphens, dashes and the minus sign [Unicode standard, General Punctuation], as phones and spreadsheets put them.


def gravity_range(text: str, name: str, settings: Settings) -> tuple[float, float]:
    """One gravity, or two with `to` or a dash between them. Raises UsageError.

    >>> from pathlib import Path
    >>> gravity_range("1.010 to 1.014", "--expected", Settings(Path("b"), "sg", "C", None))
    (1.01, 1.014)
    """
    parts = _ends(text)
    if len(parts) > 2 or not all(_GRAVITY.fullmatch(part.strip()) for part in parts):
        raise UsageError(f"{name} is {text!r}, expected one gravity or two as '1.010 to 1.014'; {_SUFFIXES}")
    values = [gravity_sg(part, name, settings) for part in parts]
    return values[0], values[-1]


def share_range(text: str, name: str) -> tuple[float, float]:
    """A range of per cent as `70 to 80` or `70-80`, or one number; given as shares of one. Raises UsageError.

    >>> share_range("70 to 80", "--expected-attenuation")
    (0.7, 0.8)
    """
    values = [number(part, name) / 100.0 for part in _ends(text.replace("%", ""))]
    if len(values) > 2:
        raise UsageError(f"{name} is {text!r}, expected per cent as '70 to 80'")
    if any(0.0 < value <= _LIKE_A_SHARE for value in values):  # taken as it stands, any stop would be an end
        meant = " to ".join(f"{10_000.0 * value:g}" for value in values)
        raise UsageError(f"{name} is {text!r}, expected per cent as '70 to 80'; {meant} was probably meant")
    return values[0], values[-1]


def temp_c(text: str, name: str, settings: Settings) -> float:
    """°C from `20`, `68F`, `20 C`; without a letter the settings' unit holds. Raises UsageError.

    >>> from pathlib import Path
    >>> temp_c("68F", "--yeast-min", Settings(Path("b"), "sg", "C", None))
    20.0
    """
    bare = text.strip().upper()
    unit: str = settings.temperature
    if bare.endswith(("C", "F")):
        bare, unit = bare[:-1].rstrip(" °"), bare[-1]
    return round(to_celsius(number(bare, name), "F" if unit == "F" else "C"), 6)


def volume_l(text: str, name: str, settings: Settings) -> float:
    """[L] Litres from `19`, `19L`, `500 mL`, `5 us gal`, `4imp gal`; without a unit the settings' holds.

    Raises: UsageError, also for gallons that may be either, where the settings do not say which are meant.

    >>> from pathlib import Path
    >>> [round(volume_l(t, "--volume", Settings(Path("b"), "sg", "C", None)), 2) for t in ("19,5", "5us gal", "500 mL")]
    [19.5, 18.93, 0.5]
    """
    found = _VOLUME.fullmatch(text.strip())
    if found is None:
        raise UsageError(f"{name} is {text!r}, expected a volume such as 19L, 5us gal or 4imp gal")
    value = number(found["number"], name)
    unit = re.sub(r"[^a-z]", "", found["unit"].lower())
    if not unit and not found["unit"].strip():
        return to_litres(value, settings.volume)
    if unit in _METRIC:
        return to_litres(value, _METRIC[unit])
    gallon = _GALLON.fullmatch(unit)
    if gallon is None:
        raise UsageError(f"{name} is {text!r}, expected L, mL, us gal or imp gal after the number")
    if gallon[1]:
        return to_litres(value, "us gal" if gallon[1] == "us" else "imp gal")
    if settings.volume == "L":
        bare = found["number"]
        raise UsageError(
            f"{name}: {text.strip()} may be US or imperial gallons: write {bare}us gal "
            f"({to_litres(value, 'us gal'):.1f} L) or {bare}imp gal ({to_litres(value, 'imp gal'):.1f} L), or state "
            "which with the setting volume"
        )
    return to_litres(value, settings.volume)


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


_CLOCKS_APART_US = 15 * 60 * 1_000_000


def refuse_future(at_us: int, name: str) -> None:
    """Raise UsageError for a moment that has not come yet, but for what clocks may be apart."""
    if at_us > now_us() + _CLOCKS_APART_US:
        raise UsageError(f"{name} lies in the future: what has not been done yet cannot be noted; is the date right?")


def warn_of_future(at_us: int, name: str) -> None:
    """Say on standard error that a moment has not come yet: most likely a slip of the pen."""
    if at_us > now_us():
        say(f"{name} lies in the future: is that meant?", err=True)


def told_at(as_of_us: int | None) -> int:
    """When what stood at `as_of_us` [µs] is told; None: now, and never later than that."""
    return now_us() if as_of_us is None else min(as_of_us, now_us())


def now_us() -> int:
    """The present instant [µs since 1970 UTC]; the only clock of the commands."""
    return time.time_ns() // 1000
