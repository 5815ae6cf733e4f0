"""Where the card's curve may lie wrong, by what, and what would tell: in sentences beside its legend."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.card.curve.content import CurveContent
from lullwort.card.known.facts import BatchFacts
from lullwort.detector import Units
from lullwort.packaging_day import SheetFacts

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
        if content.ends_us[0] < shift.at_us <= content.ends_us[1]:
            way = "up" if shift.points > 0.0 else "down again"
            by, when = units.difference(abs(shift.points)), units.day_and_time(shift.at_us)
            yield (
                f"the sensor stepped {way} by {by} by {when}, which is taken for its own doing: the line before is "
                "drawn as it would be read now"
            )


def _steps(content: CurveContent, sheet: SheetFacts, units: Units) -> Iterator[str]:
    sampled_us = sheet.seen.sampled_us
    for at_us, points in zip(sheet.doubts.steps_us, sheet.doubts.steps, strict=True):
        settled = sampled_us is not None and sampled_us >= at_us
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
    sealed = sheet.seen.sealed
    if sealed is None or not sealed.lift or sealed.at_us > content.ends_us[1]:
        return
    yield (
        f"this range is wider below, by up to {units.difference(sheet.doubts.less)}, from the sealing on, for pressure "
        "lifts a float: a hand sample tells"
    )
