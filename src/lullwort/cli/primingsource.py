"""What is to be primed, typed or on record: how much beer, what it holds, what has yet to ferment, and into what."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import msgspec

from lullwort.cli.amounts import positive_volume_l
from lullwort.cli.choices import day_chosen
from lullwort.cli.shownunits import units_of
from lullwort.cli.strengthsource import OfBatch, batch_named
from lullwort.cli.values import co2_g_l, gauge_bar, gravity_sg, instant
from lullwort.cli.warmest import beer_temp_c, warmest_stated_c
from lullwort.detector import Units, value_range
from lullwort.errors import OutOfRangeError, RefusedError, UsageError
from lullwort.packaging_day import (
    CONTAINERS,
    ROOM_C,
    USUAL_TARGETS,
    Held,
    Limit,
    Moved,
    held_at,
    held_by,
    held_by_gauge,
    held_stated,
    limit_bar_of,
    limit_of,
    most_g_l_of,
    moved_of,
    no_longer_says,
    wort_gravities,
)
from lullwort.records import PackagingDay
from lullwort.science import PRIMING, PrimedWith, reserved_wort
from lullwort.settings import Settings
from lullwort.units import CO2_G_PER_VOLUME

__all__ = ["Asked", "TypedPriming", "asked_for", "checked_target", "kinds_of", "not_proved"]

_MEASURED_SD = 0.02
# Of a volume that was measured in a marked bucket, as a share. Common practice, no source.
_FALLS_MORE_THAN = 5.0
# [points] A wort that falls less primes nothing.
_US_SIZES_L, _SIZES_L = (0.355, 0.473), (0.33, 0.5)


class TypedPriming(NamedTuple):
    """Options as they were typed; None where they were not."""

    moved: str | None
    warmest: str | None
    holds: str | None
    gauge: str | None
    beer_temperature: str | None
    original_gravity: str | None
    final_gravity: str | None
    syrup: str | None
    choices: dict[str, Any]


class Asked(NamedTuple):
    """What is to be primed.

    Attributes:
        of:     the batch, None where all was typed.
        day:    choices that hold in this run.
        moved:  how much beer, None where not known.
        held:   what it holds, None where not known; held_how, the key of HELD_EXPLAINED by which, "" where stated.
        left:   [points] still to fall, about and at most; None where nobody knows.
        limit:  what it goes into, and what that bears.
        sizes_l: [L] bottles to be told of.
        syrup_l: [L] of syrup, None where none is wanted.
    """

    of: OfBatch | None
    day: PackagingDay
    moved: Moved | None
    held: Held | None
    held_how: str
    left: tuple[float, float] | None
    limit: Limit
    sizes_l: tuple[float, ...]
    syrup_l: float | None

    @property
    def most_g_l(self) -> float:
        """[g CO2/L] That the container bears at 20 °C."""
        return most_g_l_of(self.limit)

    @property
    def falls(self) -> bool:
        """Whether its batch ferments still, as far as is known."""
        return self.of is not None and self.of.judged.now.at_rest is None and self.of.judged.verdict != "packaged"

    def bears(self, units: Units) -> str:
        """What its container bears, in a sentence."""
        bar = units.gauge(self.limit.bar)
        return f"this container bears {bar}" if self.limit.stated else f"{self.limit.container.called} bear {bar}"

    @property
    def proved(self) -> bool:
        """Whether its batch may be packaged, or might be when it was, and nothing since then speaks against it."""
        return self.of is not None and self.of.no_longer is None and self.of.judged.proved


def asked_for(name: str | None, typed: TypedPriming, as_of: str | None, settings: Settings) -> Asked:
    """All of it, what is typed before what is on record. Raises UsageError and RefusedError."""
    moved_l = None if typed.moved is None else positive_volume_l(typed.moved, "--moved", settings)
    syrup_l = None if typed.syrup is None else positive_volume_l(typed.syrup, "--syrup", settings)
    of, all_typed = None, name is None and any((typed.moved, typed.warmest, typed.holds, typed.gauge))
    if all_typed and as_of is not None:
        raise UsageError("--as-of goes with a batch: name one")
    if not all_typed:
        as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
        of = batch_named(name, settings, as_of_us, instead=", or tell of the beer with --moved, --warmest and --target")
    batch = None if of is None else of.batch
    day = day_chosen(settings, {**typed.choices, "moved": typed.moved}, batch)
    if batch is None:
        moved = None if moved_l is None else Moved(moved_l, _MEASURED_SD * moved_l, None, "measured")
    else:
        moved = moved_of(msgspec.structs.replace(batch, packaging_day=day))
    held, how = _held(of, typed, settings)
    limit = limit_of(day.container, day.limit_bar)
    if not limit.bears:
        raise UsageError(
            f"{limit.container.called} are nothing to prime in: {limit.container.says.partition(':')[0]} burst where "
            "anything ferments in them; choose another with --container"
        )
    sizes = tuple(sorted({lot.volume_l for lot in day.bottles or day.filled}))
    usual = _US_SIZES_L if settings.volume == "us gal" else _SIZES_L
    return Asked(of, day, moved, held, how, _left(of), limit, sizes or usual, syrup_l)


def _left(of: OfBatch | None) -> tuple[float, float] | None:
    if of is None or of.judged.now.lost or (of.no_longer is not None and of.no_longer.now.lost):
        return None
    return of.left


# -- what it holds -----------------------------------------------------------------------------------------------------


def _held(of: OfBatch | None, typed: TypedPriming, settings: Settings) -> tuple[Held | None, str]:
    several = [
        option
        for option, value in (("--warmest", typed.warmest), ("--holds", typed.holds), ("--gauge", typed.gauge))
        if value is not None
    ]
    if len(several) > 1:
        raise UsageError(f"{' and '.join(several)} each tell what the beer holds: give one")
    if typed.beer_temperature is not None and typed.gauge is None:
        raise UsageError("--beer-temperature goes with --gauge; the warmest since activity ended is --warmest")
    if typed.holds is not None:
        return held_stated(co2_g_l(typed.holds, "--holds", settings)), ""
    if typed.gauge is not None:
        return _by_gauge(of, typed.gauge, typed.beer_temperature, settings), "gauge"
    warmest_c = None
    if typed.warmest is not None:
        warmest_c = warmest_stated_c(None if of is None else of.judged.now, typed.warmest, settings)
    if of is None:
        return (None if warmest_c is None else held_at(warmest_c)), "at rest"
    return held_by(of.judged.now, warmest_c), "at rest" if of.judged.now.fallen_sealed is None else "sealed"


def _by_gauge(of: OfBatch | None, text: str, at: str | None, settings: Settings) -> Held:
    bar = gauge_bar(text, "--gauge", settings)
    beer_c = None if of is None else of.judged.now.beer_c
    if at is not None:
        beer_c = beer_temp_c(at, "--beer-temperature", settings)
    if beer_c is None:
        raise UsageError("--gauge needs the beer's temperature at the gauge's reading: --beer-temperature 12C")
    try:
        return held_by_gauge(bar, beer_c)
    except OutOfRangeError as exc:
        raise RefusedError(f"no formula covers a gauge of {text} at that temperature: {exc}") from exc


# -- what it is primed with, and to what -------------------------------------------------------------------------------


def kinds_of(asked: Asked, typed: TypedPriming, settings: Settings) -> list[PrimedWith]:
    """The one that is chosen, else all; reserved wort where both its gravities are known. Raises RefusedError."""
    wanted = asked.day.sugar
    if wanted is not None and wanted != "reserved-wort":
        return [PRIMING[wanted]]
    wort = _wort(asked, typed, settings)
    if wanted is not None:
        if wort is None:
            raise RefusedError(
                "reserved wort primes by how far it will fall: tell its gravity with --original-gravity, and where it "
                "should end with --final-gravity"
            )
        return [wort]
    return [*PRIMING.values(), *([] if wort is None else [wort])]


def _wort(asked: Asked, typed: TypedPriming, settings: Settings) -> PrimedWith | None:
    """Wort as it was before anything was put in, which ends at the beer's own apparent attenuation."""
    original, final = (None if asked.of is None else wort_gravities(asked.of.judged)) or (None, None)
    if typed.original_gravity is not None:
        original = 1000.0 * (gravity_sg(typed.original_gravity, "--original-gravity", settings) - 1.0)
    if typed.final_gravity is not None:
        final = 1000.0 * (gravity_sg(typed.final_gravity, "--final-gravity", settings) - 1.0)
    if original is None or final is None:
        return None
    by_hand = typed.original_gravity is not None or typed.final_gravity is not None
    try:
        if original - final < _FALLS_MORE_THAN:
            raise OutOfRangeError("fall", original - final, "5 to 100 points", source="Balling1865")
        return reserved_wort(1.0 + original / 1000.0, 1.0 + final / 1000.0)
    except OutOfRangeError as exc:
        if not by_hand and asked.day.sugar is None:
            return None
        units = units_of(settings)
        raise RefusedError(
            f"wort of {units.level(original)} that ends at {units.level(final)} primes nothing: are the two right?"
        ) from exc


def checked_target(asked: Asked, settings: Settings) -> None:
    """Raise UsageError or RefusedError for a target that its container does not bear, or none at all."""
    units, target = units_of(settings), asked.day.target_g_l
    if target is None:
        styles = "; ".join(
            f"{style} {value_range(units.co2(low), units.co2(high))}" for style, low, high in USUAL_TARGETS
        )
        raise UsageError(
            f"--target is missing: how much carbon dioxide should the beer hold? Usual by style (common practice, no "
            f"source): {styles}"
        )
    bar = asked.limit.pressed_by(target)
    if bar <= asked.limit.bar * (1.0 + 1e-6):
        return
    stronger = [
        each.name
        for each in CONTAINERS.values()
        if each.volumes is not None and not asked.limit.stated and limit_bar_of(each) >= bar
    ]
    none_named = asked.day.container is None and not asked.limit.stated
    assumed = f" (taken, for none is named: {asked.limit.container.says})" if none_named else ""
    air = ", with the air that is shut in," if asked.limit.stated else ""
    says = (
        f"{units.co2(target)} come to {units.gauge(bar)}{air} at {units.temp(ROOM_C, 0)}, and {asked.bears(units)}"
        f"{assumed}: aim for at most {_rounded_down(asked.most_g_l, units)}"
    )
    if stronger:
        says += f", or choose {' or '.join(stronger)} with --container"
    raise UsageError(says)


def _rounded_down(g_l: float, units: Units) -> str:
    """As it is shown, and never more than it is."""
    one = 1.0 if units.carbonation == "g/L" else CO2_G_PER_VOLUME
    return units.co2(math.floor(10.0 * g_l / one + 1e-6) / 10.0 * one)


def not_proved(asked: Asked, units: Units) -> str:
    """Why no amount is told, where the verdict does not say it."""
    if asked.of is None:
        return (
            "Without a batch there is no verdict, and priming beer that has not ended bursts bottles. Name a batch, or "
            "add --insist where you know by degassed readings, the same at least two days apart and where this beer "
            "should end, that it has ended."
        )
    if asked.of.no_longer is not None:
        return f"{no_longer_says(asked.of.no_longer, units)} --insist tells it all the same."
    if asked.of.judged.verdict == "packaged":
        return "It was packaged before it was proved that it had ended."
    return "No priming is told before it may be packaged; --insist tells it all the same."
