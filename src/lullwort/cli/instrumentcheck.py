"""An instrument in plain water: its error from what it shows there, or why that cannot be one."""

from __future__ import annotations

import msgspec

from lullwort.cli.samplegiven import brix_typed, liquid_c
from lullwort.cli.shownunits import units_of
from lullwort.cli.values import gravity_sg, number
from lullwort.collector import LARGEST_ERROR
from lullwort.errors import RefusedError, UsageError
from lullwort.records import Instrument
from lullwort.science import hydrometer_in_water
from lullwort.settings import Settings

__all__ = ["checked_in_water", "gravity_in_water"]


def checked_in_water(known: Instrument, reads: str, water: str | None, at_us: int, settings: Settings) -> Instrument:
    """The instrument with the error that it shows, as typed, in water of such a temperature.

    Raises: UsageError and RefusedError that say what was probably meant.
    """
    units = units_of(settings)
    if known.kind == "refractometer":
        typed = brix_typed(reads)
        error = number(reads, "--reads") if typed is None else typed
        shown, should = f"{units.short(error)} °Bx", "0 °Bx"
    elif water is None:
        raise UsageError("--water is missing: what a hydrometer shows in water hangs on the temperature, such as 20C")
    else:
        right = gravity_in_water(known, water, settings)
        gravity = gravity_sg(reads, "--reads", settings)
        error = 1000.0 * (gravity - right)
        shown, should = (units.level((sg - 1.0) * 1000.0) for sg in (gravity, right))
    if abs(error) > LARGEST_ERROR[known.kind]:
        raise RefusedError(
            f"{known.name} shows {shown} where plain water shows {should}, which is more than such an instrument is "
            "off: was it plain water, without sugar or beer, and the number in its unit? If so, it is broken: its "
            "paper may have slipped, or its glass cracked"
        )
    return msgspec.structs.replace(known, error=round(error, 3), checked_us=at_us)


def gravity_in_water(known: Instrument, water: str, settings: Settings) -> float:
    """[SG] What plain water of such a temperature, as typed, shows on a hydrometer without an error."""
    return hydrometer_in_water(liquid_c(water, "--water", settings), calibration_c=known.calibrated_c)
