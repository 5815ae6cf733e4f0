"""The warmest that the beer has been since its activity ended, as the brewer states it."""

from __future__ import annotations

from lullwort.cli.values import temp_c
from lullwort.detector import Snapshot, Units
from lullwort.errors import RefusedError, UsageError
from lullwort.settings import Settings

__all__ = ["beer_temp_c", "maybe_warmer", "warmest_stated_c"]

_CONTRADICTS_K = 2.0
# [K] A thermometer and a sensor in one vessel differ by less.


def warmest_stated_c(now: Snapshot | None, text: str, settings: Settings) -> float:
    """[°C] From `--warmest`. Raises UsageError for none that beer has, RefusedError for what the record contradicts.

    What the log does not cover it cannot contradict: a warmer one is refused only where it tells of the whole rest.

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


def maybe_warmer(now: Snapshot, units: Units) -> str:
    """That the log does not tell of the whole rest, so that the beer may have been warmer; nothing where it does."""
    rest = now.at_rest
    if rest is None or rest.warmest_c is None or rest.from_fall:
        return ""
    begins = "No log tells its temperature through all that time"
    if rest.told_since_us is not None:
        begins = f"The log tells its temperature without a gap only since {units.moment(rest.told_since_us)}"
    return f"{begins}: if it was warmer before, once it had ended, it holds less; --warmest tells of that."


def _refuse_contradicted(now: Snapshot, warmest_c: float, text: str, units: Units) -> None:
    """Raise RefusedError where it is on record how warm the beer has been."""
    rest = now.at_rest
    if rest is None:
        if now.beer_c is not None and now.beer_c - warmest_c > _CONTRADICTS_K:
            raise RefusedError(
                f"--warmest is {text!r}, but the beer still ferments and is {units.temp(now.beer_c)}: it holds what it "
                "does at that"
            )
        return
    if rest.warmest_c is None or abs(rest.warmest_c - warmest_c) <= _CONTRADICTS_K:
        return
    on_record = f"{units.temp(rest.warmest_c)} at {units.moment(rest.warmest_us)}"
    since = units.moment(rest.since_us)
    if warmest_c < rest.warmest_c:
        cold = now.beer_c is not None and abs(now.beer_c - warmest_c) <= _CONTRADICTS_K
        meant = "how cold it is now was typed" if cold else "the temperature of the crash was typed"
        raise RefusedError(
            f"--warmest is {text!r}, but {on_record} is on record, after activity ended ({since}). Probably {meant}: "
            "gas that has gone does not come back in the cold. Leave --warmest out, and what is on record counts"
        )
    if not rest.from_fall:
        return
    raise RefusedError(
        f"--warmest is {text!r}, but the log has no hour warmer than {on_record}, since activity ended ({since}). If "
        "it was warmer while it still fermented, that does not count; is the unit right? Leave --warmest out, and the "
        "log's counts"
    )
