"""What speaks against a hand sample: refused, or asked about, with what was probably meant."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.analysis import GravityCorrection, HandReading, is_wort_sample
from lullwort.cli.shownunits import local_time, units_of
from lullwort.collector import NO_GRAVITY_BY_BRIX, refuse_unfit_instrument
from lullwort.detector import Units, value_range
from lullwort.errors import OutOfRangeError, RefusedError, UsageError
from lullwort.records import HOUR_US, Batch, Event
from lullwort.science import driest_gravity
from lullwort.settings import Settings

__all__ = ["doubts", "refuse_sample"]

_ORDINARY = (0.990, 1.170)
# [SG] What an ordinary hydrometer shows. Common practice, no source.
_SDS = 2.5
# Beyond so many standard deviations two gravities contradict each other.
_MIXED_H = 12.0
# [h] Until then the wort may lie in layers.
_FIRST_DAY_H = 24.0
_THIN_POINTS = 15.0
# [points] Thinner no wort is brewed. Common practice, no source.


def refuse_sample(batch: Batch, event: Event, settings: Settings) -> None:
    """Raise UsageError or RefusedError where a sample cannot be one of `batch`."""
    refuse_unfit_instrument("note", event, batch.instruments)
    units = units_of(settings)
    if event.gravity is not None and event.instrument is None and not _ORDINARY[0] <= event.gravity <= _ORDINARY[1]:
        low, high = (units.level((end - 1.0) * 1000.0, 3) for end in _ORDINARY)
        raise UsageError(
            f"note: {units.level((event.gravity - 1.0) * 1000.0)} lies outside what an ordinary hydrometer shows, "
            f"{value_range(low, high)}: was another number meant? One that shows it can be kept with `lullwort "
            "instrument add` and named with --instrument"
        )
    if is_wort_sample(batch, event):
        if batch.original_gravity is not None:
            entered = units.level((batch.original_gravity - 1.0) * 1000.0, 3)
            raise RefusedError(
                f"a sample from before the pitch ({local_time(batch.pitched_us, settings)}) is the original gravity, "
                f"and {batch.name} has one already, {entered}: was it drawn later? `lullwort batch edit {batch.name} "
                "--original-gravity` corrects that"
            )
    elif event.brix is not None and GravityCorrection(batch).measured is None:
        raise RefusedError(
            f"note: {NO_GRAVITY_BY_BRIX} (`lullwort batch edit {batch.name} --original-gravity GRAVITY`)"
        )


def doubts(
    batch: Batch, event: Event, said: HandReading | None, correction: GravityCorrection, settings: Settings, *,
    noted: bool = True,
) -> Iterator[str]:  # fmt: skip
    """What to ask about a sample.

    Args: said: what it says of the beer.  correction: of the batch, with what had been added by then.
          noted: whether it is on record, so that it can be taken back.
    """
    units, original = units_of(settings), correction.original_gravity
    back = " --remove takes the note back{}" if noted else ""
    since_h = (event.at_us - batch.pitched_us) / HOUR_US
    if said is None:
        yield "No correction covers this reading, so that nothing is made of it: are gravity and temperature right?"
        return
    if is_wort_sample(batch, event):
        if said.points < _THIN_POINTS:
            yield (
                f"{units.level(said.points, 3)} is hardly a wort: was it water, or beer?"
                f"{back.format(', and --at tells when it was drawn.')}"
            )
        return
    if original is None:
        if since_h <= _FIRST_DAY_H:
            yield (
                f"Drawn {since_h:.0f} h after the pitch it does not count as the original gravity, for yeast has taken "
                "sugar since: if it was drawn before, note it with that time."
            )
        return
    above = said.points - (original - 1.0) * 1000.0
    may_err = _SDS * float((said.sd**2 + correction.original_sd**2) ** 0.5)
    if above > may_err and since_h > _MIXED_H:
        yield (
            f"It lies {units.difference(above)} above the original gravity of {batch.name}, "
            f"{units.level((original - 1.0) * 1000.0, 3)}, which beer does not: are number, unit, vessel and batch "
            f"right{_meant(event, original, units)}?{back.format('.')} Added sugar is noted as an addition."
        )
    elif said.points < (_driest(original) - 1.0) * 1000.0 - may_err:
        yield (
            f"It is lighter than wort of {units.level((original - 1.0) * 1000.0, 3)} can become: are number, unit and "
            "original gravity right?"
            f"{back.format('.')}"
        )


def _driest(original: float) -> float:
    try:
        return driest_gravity(original)
    except OutOfRangeError:
        return 0.0


def _meant(event: Event, original: float, units: Units) -> str:
    """The gravity that a slip of the fingers made another one of: a 0 left out, or two digits swapped."""
    if event.gravity is None or units.gravity == "plato":
        return ""
    digits = f"{round(1000.0 * event.gravity):04d}"[1:]
    tried = [f"1.{digits[1]}{digits[0]}{digits[2]}", f"1.{digits[0]}{digits[2]}{digits[1]}"]
    if digits[2] == "0":
        tried.insert(0, f"1.0{digits[:2]}")
    fitting = [sg for sg in map(float, tried) if _driest(original) <= sg <= original]
    return f" ({units.level((fitting[0] - 1.0) * 1000.0, 3)} was perhaps meant)" if fitting else ""
