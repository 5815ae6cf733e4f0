"""What beer holds already, as it is typed: one way for the commands that reckon with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import click

from lullwort.cli.gasvalues import co2_g_l, vessel_gauge_bar
from lullwort.cli.strengthsource import OfBatch
from lullwort.cli.warmest import beer_temp_c, warmest_stated_c
from lullwort.errors import OutOfRangeError, RefusedError, UsageError
from lullwort.packaging_day import Held, held_at, held_by_gauge, held_stated
from lullwort.settings import Settings

__all__ = ["TypedHeld", "held_options", "held_typed", "stated_c"]

_FAR_BELOW = 0.5
# Of what beer keeps at the warmest on record: to lose as much it would have to be warmer by 25 K.


class TypedHeld(NamedTuple):
    """Options as they were typed; None where they were not."""

    warmest: str | None
    holds: str | None
    gauge: str | None
    beer_temperature: str | None

    @property
    def any(self) -> bool:
        """Whether one of them tells what the beer holds."""
        return any((self.warmest, self.holds, self.gauge))


def held_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The gauge of a sealed vessel, and what is known otherwise; `--warmest` stands beside them."""
    for option in (
        click.option("--beer-temperature", metavar="TEMP", help="Of the beer then. Default: the batch's newest."),
        click.option("--gauge", metavar="PRESSURE", help="What the gauge of the sealed vessel shows, at rest."),
        click.option("--holds", metavar="CO2", help="What the beer holds already, where that is known."),
    ):
        command = option(command)
    return command


def held_typed(of: OfBatch | None, typed: TypedHeld, settings: Settings) -> tuple[Held | None, str]:
    """What was stated or what the gauge tells, and how that is known: "stated", "gauge"; nothing and "" for neither.

    Raises: UsageError for more than one answer, and where the beer's temperature is missing; RefusedError where what
        is on record contradicts it.
    """
    given = (("--warmest", typed.warmest), ("--holds", typed.holds), ("--gauge", typed.gauge))
    several = [option for option, value in given if value is not None]
    if len(several) > 1:
        raise UsageError(f"{' and '.join(several)} each tell what the beer holds: give one")
    if typed.beer_temperature is not None and typed.gauge is None:
        raise UsageError("--beer-temperature goes with --gauge; the warmest since activity ended is --warmest")
    if typed.holds is not None:
        stated = held_stated(co2_g_l(typed.holds, "--holds", settings))
        _refuse_contradicted(of, stated, typed.holds, settings)
        return stated, "stated"
    if typed.gauge is not None:
        return _by_gauge(of, typed.gauge, typed.beer_temperature, settings), "gauge"
    return None, ""


def stated_c(of: OfBatch | None, typed: TypedHeld, settings: Settings) -> float | None:
    """[°C] `--warmest`, None where it was not typed. Raises as `warmest_stated_c`."""
    if typed.warmest is None:
        return None
    return warmest_stated_c(None if of is None else of.judged.now, typed.warmest, settings)


def _by_gauge(of: OfBatch | None, text: str, at: str | None, settings: Settings) -> Held:
    bar = vessel_gauge_bar(text, "--gauge", settings)
    beer_c = None if of is None else of.judged.now.beer_c
    if at is not None:
        beer_c = beer_temp_c(at, "--beer-temperature", settings)
    if beer_c is None:
        raise UsageError("--gauge needs the beer's temperature at the gauge's reading: --beer-temperature 12C")
    try:
        return held_by_gauge(bar, beer_c)
    except OutOfRangeError as exc:
        raise RefusedError(f"no formula covers a gauge of {text} at that temperature: {exc}") from exc


def _refuse_contradicted(of: OfBatch | None, stated: Held, text: str, settings: Settings) -> None:
    """Raise RefusedError where beer as warm as it is on record keeps far more: it would be primed for all of that."""
    rest = None if of is None else of.judged.now.at_rest
    if rest is None or rest.warmest_c is None:
        return
    try:
        keeps = held_at(rest.warmest_c)
    except OutOfRangeError:
        return
    if stated.about >= _FAR_BELOW * keeps.about:
        return
    units = settings.units
    raise RefusedError(
        f"--holds is {text!r}, but beer that was no warmer than {units.temp(rest.warmest_c)} "
        f"({units.moment(rest.warmest_us)}, on record) still holds about {units.co2(keeps.about)}: primed as if it did "
        "not, bottles would hold too much. Leave --holds out, and what is on record counts"
    )
