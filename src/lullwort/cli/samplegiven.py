"""A hand sample as it is typed, made into the keys of an event: by hydrometer or by refractometer, in any unit."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, NamedTuple

from lullwort.cli.entrylimits import other_degree
from lullwort.cli.shownunits import units_of
from lullwort.cli.values import gravity_sg, number, temp_c
from lullwort.detector import value_range
from lullwort.errors import UsageError
from lullwort.faults import Faults
from lullwort.records import Instrument
from lullwort.settings import Settings

__all__ = ["SampleGiven", "brix_typed", "calibration_c", "liquid_c", "sample_keys"]

_BRIX = re.compile(r"(?P<number>[+-]?[0-9]*[.,]?[0-9]+)\s*(?P<unit>°?\s*(?:bx|brix))?", re.IGNORECASE)
_LIKE_SG = re.compile(r"[01][.,][0-9]{2,}(\s*sg)?", re.IGNORECASE)
_HOTTEST_C = 40.0
_CALIBRATED_C = (10.0, 30.0)


class SampleGiven(NamedTuple):
    """A sample in the words of the command line, None where nothing was said, and what its options are called."""

    gravity: str
    temperature: str | None = None
    instrument: str | None = None
    calibrated_at: str | None = None
    gravity_option: str = "--gravity-read"
    temperature_option: str = "--temperature-read"


def brix_typed(text: str) -> float | None:
    """[°Bx] of a number with its unit, as `6.2Bx`; None where it has none.

    >>> brix_typed("6,2 °Bx"), brix_typed("6.2P")
    (6.2, None)
    """
    found = _BRIX.fullmatch(text.strip())
    return number(found["number"], "") if found is not None and found["unit"] else None


def liquid_c(text: str, option: str, settings: Settings) -> float:
    """[°C] of a liquid in which an instrument is read. Raises UsageError where that is too hot or frozen."""
    value = temp_c(text, option, settings)
    if 0.0 <= value <= _HOTTEST_C:
        return value
    units = units_of(settings)
    within = value_range(units.temp(0.0, 0), units.temp(_HOTTEST_C, 0))
    if asks := other_degree(text, option, value, settings):
        raise UsageError(asks)
    if value > _HOTTEST_C:
        raise UsageError(
            f"{option} is {text!r}, expected {within}: let it cool to about {units.temp(20.0, 0)} first. Hot it gives "
            "off steam, no correction holds, and it scalds and can crack a glass instrument"
        )
    raise UsageError(f"{option} is {text!r}, expected {within}")


def calibration_c(text: str, option: str, settings: Settings) -> float:
    """[°C] for which an instrument is made, as printed on it. Raises UsageError."""
    value = temp_c(text, option, settings)
    if not _CALIBRATED_C[0] <= value <= _CALIBRATED_C[1]:
        fahrenheit = text.strip()[-1:].isdigit() and settings.temperature != "F" and 50.0 <= value <= 86.0
        hint = f"; {units_of(settings).short(value)}F was probably meant" if fahrenheit else ""
        raise UsageError(f"{option} is {text!r}, expected what is printed on it, such as 60F or 20C{hint}")
    return value


def sample_keys(given: SampleGiven, settings: Settings, instruments: Iterable[Instrument]) -> dict[str, Any]:
    """The keys of an event that a sample fills.

    Args:    instruments: on record; the one that is named tells the unit of a number without one.
    Raises:  UsageError that says what was probably meant.
    """
    kinds = {instrument.name: instrument.kind for instrument in instruments}
    kind = None if given.instrument is None else kinds.get(given.instrument)
    brix = brix_typed(given.gravity)
    keys: dict[str, Any] = {}
    faults = Faults()
    with faults.each():
        if kind == "refractometer":
            keys["brix"] = _shown_brix(given) if brix is None else brix
        elif brix is not None and kind is None:
            keys["brix"] = brix
        elif brix is not None:  # a hydrometer's scale in °Bx, which is that of °P
            keys["gravity"] = gravity_sg(f"{brix}P", given.gravity_option, settings)
        else:
            keys["gravity"] = gravity_sg(given.gravity, given.gravity_option, settings)
    if given.temperature is not None:
        with faults.each():
            keys["temperature_c"] = liquid_c(given.temperature, given.temperature_option, settings)
    if given.instrument is not None:
        keys["instrument"] = given.instrument
    if given.calibrated_at is not None:
        with faults.each():
            keys["calibrated_c"] = calibration_c(given.calibrated_at, "--calibrated-at", settings)
    faults.refuse()
    return keys


def _shown_brix(given: SampleGiven) -> float:
    found = _BRIX.fullmatch(given.gravity.strip())
    if found is None or _LIKE_SG.fullmatch(given.gravity.strip()):
        raise UsageError(
            f"{given.gravity_option} is {given.gravity!r}, but {given.instrument!r} is a refractometer: give what it "
            "shows in °Bx, such as 6.2Bx, for its gravity scale holds for wort only"
        )
    return number(found["number"], given.gravity_option)
