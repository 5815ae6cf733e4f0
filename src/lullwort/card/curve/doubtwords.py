"""Where the card's curve may lie wrong, by what, and what would tell: in sentences beside its legend."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.card.curve.content import CurveContent
from lullwort.card.known.facts import BatchFacts
from lullwort.detector import PRESSURE_POINTS, Units
from lullwort.packaging_day import SheetFacts, pressure_lift

__all__ = ["doubts_say"]

_RISEN_POINTS, _DRIFT_SD = 1.0, 0.5
# Less changes nothing that a brewer would notice.


def doubts_say(content: CurveContent, facts: BatchFacts, units: Units) -> Iterator[str]:
    """One for each thing that makes the band wider on the span, or the line another than what was read."""
    sheet = facts.sheet
    yield from _mended(content, sheet, units)
    yield from _steps(content, sheet, units)
    yield from _pressure(content, sheet, units)
    if content.risen >= _RISEN_POINTS:
        yield (
            f"this range is wider below, by up to {units.difference(content.risen)}, where the sensor reads higher "
            "than before: beer does not rise, so it may have been right then"
        )
    if sheet.seen.drift_sd >= _DRIFT_SD:
        settled = "" if sheet.packaged else ": a new sample settles it"
        yield f"this range is wider the longer ago gravity was measured by hand, for a sensor may drift{settled}"


def _mended(content: CurveContent, sheet: SheetFacts, units: Units) -> Iterator[str]:
    for shift in sheet.seen.shifts:
        if not content.ends_us[0] < shift.at_us <= content.ends_us[1]:
            continue
        by, when = units.difference(abs(shift.points)), units.day_and_time(shift.at_us)
        if shift.former is not None:
            yield f"another sensor since {when} or shortly before: the line before it is by what was known of the first"
        else:
            way = "up" if shift.points > 0.0 else "down"
            yield (
                f"the sensor stepped {way} by {by} by {when}, which is taken for its own doing: the line before is "
                "drawn as it would be read now"
            )


def _steps(content: CurveContent, sheet: SheetFacts, units: Units) -> Iterator[str]:
    doubts = sheet.doubts
    for nth, (at_us, points) in enumerate(zip(doubts.steps_us, doubts.steps, strict=True)):
        settled = nth < doubts.settled
        if at_us > content.ends_us[1] or (settled and at_us < content.ends_us[0]):
            continue
        when, by = units.day_and_time(at_us), units.difference(points)
        if settled:
            yield f"this range is wider below until {when}, by {by}, for the sensor stepped down by as much then"
        else:
            yield (
                f"this range is wider above from {when} on, by {by}, for the sensor stepped down by as much then: only "
                "a hand sample tells whether it was knocked, and reads too little since, or came free, and is right now"
            )


def _pressure(content: CurveContent, sheet: SheetFacts, units: Units) -> Iterator[str]:
    seals_us = sorted(event.at_us for event in sheet.batch.events if event.kind == "seal")
    sealed, sampled_us = sheet.seen.sealed, sheet.seen.sampled_us
    if sealed is None or not seals_us:
        return
    if sampled_us is not None and seals_us[0] < sampled_us and content.ends_us[0] < seals_us[0] <= content.ends_us[1]:
        yield (
            f"this range is wider above, by up to {units.difference(PRESSURE_POINTS / sheet.seen.scale)}, until the "
            "sealing, for the hand sample was compared under pressure"
        )
    lift = pressure_lift(sheet.seen)
    if lift and sealed.at_us <= content.ends_us[1]:
        yield (
            f"this range is wider below, by up to {units.difference(lift)}, from the sealing on, for pressure lifts a "
            "float: a hand sample tells"
        )
