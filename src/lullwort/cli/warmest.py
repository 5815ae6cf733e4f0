"""The warmest that the beer has been since its activity ended, as the brewer states it."""

from __future__ import annotations

from lullwort.cli.values import temp_c
from lullwort.detector import Snapshot, Units
from lullwort.errors import RefusedError, UsageError
from lullwort.settings import Settings

__all__ = ["beer_temp_c", "warmest_stated_c"]

_CONTRADICTS_K = 2.0
# [K] A thermometer and a sensor in one vessel differ by less.


def warmest_stated_c(now: Snapshot | None, text: str, settings: Settings) -> float:
    """[°C] From `--warmest`. Raises UsageError for none that beer has, RefusedError for one that the log contradicts.

    Args:    now: of the batch, None where there is none.
    """
    warmest_c = beer_temp_c(text, "--warmest", settings)
    if now is not None:
        _refuse_contradicted(now, warmest_c, text, settings.units)
    return warmest_c


def beer_temp_c(text: str, option: str, settings: Settings) -> float:
    """[°C] A temperature that beer may have, 0 to 40. Raises UsageError, with what was probably meant."""
    value_c = temp_c(text, option, settings)
    if 0.0 <= value_c <= 40.0:
        return value_c
    bare = text.strip().rstrip("cCfF° ")
    other = "F" if 32.0 <= value_c <= 104.0 else ""
    hint = f"; {bare}F was probably meant" if other else ""
    units = settings.units
    raise UsageError(
        f"{option} is {text!r}, expected a temperature of beer between {units.temp(0.0, 0)} and {units.temp(40.0, 0)}"
        f"{hint}"
    )


def _refuse_contradicted(now: Snapshot, warmest_c: float, text: str, units: Units) -> None:
    """Raise RefusedError where the log knows better how warm the beer has been."""
    rest = now.at_rest
    if rest is None:
        if now.temp_c is not None and now.temp_c - warmest_c > _CONTRADICTS_K:
            raise RefusedError(
                f"--warmest is {text!r}, but the beer still ferments and is {units.temp(now.temp_c)}: it holds what it "
                "does at that"
            )
        return
    if rest.warmest_c is None or abs(rest.warmest_c - warmest_c) <= _CONTRADICTS_K:
        return
    log = f"{units.temp(rest.warmest_c)} at {units.moment(rest.warmest_us)}"
    since = units.moment(rest.since_us)
    if warmest_c < rest.warmest_c:
        cold = now.temp_c is not None and abs(now.temp_c - warmest_c) <= _CONTRADICTS_K
        meant = "how cold it is now was typed" if cold else "the temperature of the crash was typed"
        raise RefusedError(
            f"--warmest is {text!r}, but the log has {log}, after activity ended ({since}). Probably {meant}: gas that "
            "has gone does not come back in the cold. Leave --warmest out, and the log's counts"
        )
    raise RefusedError(
        f"--warmest is {text!r}, but the log has no hour warmer than {log}, since activity ended ({since}). If it was "
        "warmer while it still fermented, that does not count; is the unit right? Leave --warmest out, and the log's "
        "counts"
    )
