"""From where the gravities of a strength come: typed, or those of a batch on record."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.analysis import GravityCorrection, HandReading, hand_reading
from lullwort.cellarbook import open_book
from lullwort.cli.asked import asked_or_only
from lullwort.cli.shownunits import units_of
from lullwort.cli.stillso import no_longer_of
from lullwort.cli.values import gravity_difference, gravity_sg
from lullwort.detector import Judged, if_sealed
from lullwort.errors import RefusedError, UsageError
from lullwort.packaging_day import (
    SPREAD,
    Estimate,
    Gravities,
    estimated,
    gravities_so_far,
    original_gravity,
    present_gravity,
)
from lullwort.records import Batch, Instrument
from lullwort.science import driest_gravity
from lullwort.settings import Settings

__all__ = ["OfBatch", "Typed", "batch_named", "checked_gravities", "gravities_of"]

_OWN_SD, _COMMON_SD = Instrument(name="").read_sd, Instrument(name="").error_sd
# [points] Of an ordinary hydrometer that nobody has checked, with which both were read.
_READ_FROM_DRIEST = 4.0
# [points] Lower than the driest beer by more than this no hydrometer reads by its error alone.


class Typed(NamedTuple):
    """Options as they were typed, None where they were not: two gravities, and within what each is right."""

    original: str | None = None
    final: str | None = None
    original_within: str | None = None
    final_within: str | None = None
    both_within: str | None = None


class OfBatch(NamedTuple):
    """A batch with what was made of it; `no_longer` what is made of it now, where it was proved then and is not any
    more, see `no_longer_of`."""

    batch: Batch
    judged: Judged
    no_longer: Judged | None = None

    @property
    def left(self) -> tuple[float, float] | None:
        """[points] It has yet to ferment by itself, about and at most; None where that is not known."""
        if self.judged.now.gravity is None or self.judged.now.split is not None:
            return None
        left = if_sealed(self.judged.now)
        if self.no_longer is None:
            return left.about, left.at_most
        now = OfBatch(self.batch, self.no_longer).left
        return None if now is None else (left.about, max(left.at_most, now[1]))


_OR_TYPE = ", or type --original-gravity and --final-gravity"


def batch_named(
    name: str | None, settings: Settings, as_of_us: int | None = None, *, instead: str = _OR_TYPE
) -> OfBatch:
    """The batch that is called so, or the youngest in the vessel; without a name the only one under way.

    Raises: RefusedError where there is none, which says what may be done `instead` of opening one.
    """
    with open_book(settings.book, create=False) as book:
        entry = asked_or_only(book, name, as_of_us)
        no_longer = no_longer_of(book, entry, as_of_us)
    if entry.batch is None or entry.judged is None:
        raise RefusedError(f"{name!r} has no batch: open one{instead}")
    return OfBatch(entry.batch, entry.judged, no_longer)


def gravities_of(of: OfBatch | None, typed: Typed, settings: Settings) -> Gravities:
    """What is typed counts before what is on record. Raises UsageError or RefusedError where one is missing."""
    own = None if of is None else _of_batch(of, typed)
    original = None if typed.original is None else _points(typed.original, "--original-gravity", settings)
    final = None if typed.final is None else _points(typed.final, "--final-gravity", settings)
    if of is not None and original is not None:
        original += _noted_points(of)
    if own is None and (original is None or final is None):
        missing = "--original-gravity" if original is None else "--final-gravity"
        raise UsageError(f"{missing} is missing: name a batch, or type both gravities")
    by_hand = Gravities(0.0, 0.0, _OWN_SD, _OWN_SD, 0.0 if own else _COMMON_SD)
    known = by_hand if own is None else own
    if own is not None and (original is not None or final is not None):
        known = own._replace(
            original_sd=_both(own.original_sd, own.common_sd) if original is None else _both(_OWN_SD, _COMMON_SD),
            final_sd=_both(own.final_sd, own.common_sd) if final is None else _both(_OWN_SD, _COMMON_SD),
            common_sd=0.0,
        )
    gravities = known._replace(
        original=known.original if original is None else original,
        final=known.final if final is None else final,
        original_sd=_sd(typed.original_within, "--original-within", known.original_sd, settings),
        final_sd=_sd(typed.final_within, "--final-within", known.final_sd, settings),
        common_sd=_sd(typed.both_within, "--both-within", known.common_sd, settings),
    )
    if (typed.original_within or typed.final_within) and typed.both_within is None and own is None:
        gravities = gravities._replace(common_sd=0.0)  # what is stated of a reading is all that is wrong with it
    return gravities


def checked_gravities(gravities: Gravities, settings: Settings) -> Gravities:
    """The same. Raises UsageError where no beer has them, with what was probably meant."""
    units = units_of(settings)
    original, final = (units.level(points) for points in gravities[:2])
    if gravities.final > gravities.original:
        raise UsageError(
            f"the final gravity {final} lies above the original gravity {original}: are the two swapped? If sugar or "
            "fruit was put in, tell of it with --added"
        )
    if not 1.0 <= gravities.original <= 200.0:
        raise UsageError(
            f"the original gravity is {original}, expected {units.level(1.0)} to {units.level(200.0)}, of the wort "
            "before pitching"
        )
    driest = 1000.0 * (driest_gravity(1.0 + gravities.original / 1000.0) - 1.0)
    if gravities.final < driest - _READ_FROM_DRIEST:
        raise UsageError(
            f"the final gravity {final} is below {units.level(driest)}, where this wort would have nothing left to "
            "ferment: was it read warm, or is the original gravity too low (sugar put in goes with --added)?"
        )
    return gravities


def _of_batch(of: OfBatch, typed: Typed) -> Gravities:
    """Of the sensor with what samples have set right, else of the newest hand sample; 0 for what is typed anyway."""
    now, name = of.judged.now, of.batch.name
    if now.split is not None:
        raise RefusedError(f"another batch seems to have begun in the log of {name!r}; `lullwort why` tells more")
    so_far = gravities_so_far(now)
    if so_far is not None:
        # Before anything has fermented noise may lift the beer above its wort.
        return so_far._replace(final=min(so_far.final, so_far.original))
    original, gravity, sample = original_gravity(now), present_gravity(now), _newest_sample(of)
    if original is None and typed.original is None:
        raise RefusedError(f"no original gravity of {name!r} is known: type it with --original-gravity")
    if gravity is None and sample is not None:
        gravity = estimated(sample.points, sample.sd)
    if gravity is None and typed.final is None:
        raise RefusedError(f"no gravity of {name!r} is known now: type it with --final-gravity")
    original, final = original or _NOT_KNOWN, gravity or _NOT_KNOWN
    return Gravities(original.value, final.value, _sd_of(original), _sd_of(final))


_NOT_KNOWN = estimated(0.0, 0.0)


def _sd_of(estimate: Estimate) -> float:
    return (estimate.high - estimate.value) / SPREAD


def _noted_points(of: OfBatch) -> float:
    """[points] By which additions on record have changed the original gravity until then."""
    return sum(event.points_of_original for event in of.batch.events if event.at_us <= of.judged.as_of_us)


def _newest_sample(of: OfBatch) -> HandReading | None:
    batch, as_of_us = of.batch, of.judged.as_of_us
    correction = GravityCorrection(batch)
    newest = None
    for event in batch.events:
        if event.at_us > as_of_us:
            break
        if event.points is not None:
            correction.add_points(event.points_of_original)
        newest = hand_reading(batch, event, correction) or newest
    return newest


def _points(text: str, name: str, settings: Settings) -> float:
    return 1000.0 * (gravity_sg(text, name, settings) - 1.0)


def _sd(within: str | None, name: str, else_sd: float, settings: Settings) -> float:
    if within is None:
        return else_sd
    points = gravity_difference(within, name, settings)
    if points < 0.0 or points > 20.0:
        raise UsageError(f"{name} is {within!r}, expected by how much a reading may be off, such as 0.001SG or 1pt")
    return points / SPREAD


def _both(sd: float, other_sd: float) -> float:
    return float((sd**2 + other_sd**2) ** 0.5)
