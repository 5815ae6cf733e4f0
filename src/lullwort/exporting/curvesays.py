"""What a curve shows, in sentences, for who cannot see it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from lullwort.counting import counted
from lullwort.detector import Units, value_range
from lullwort.exporting.batchcurve import BatchCurve
from lullwort.exporting.curveheld import HeldStill
from lullwort.records import HOUR_US

__all__ = ["FEW_DAYS", "curve_says", "moment_of"]

_DAY_US = 24 * HOUR_US
_MOST_PARTS = 3
FEW_DAYS = 3.6
"""[d] So short a span is told by the clock, and its gravities with all their decimals."""


def moment_of(curve: BatchCurve, units: Units) -> Callable[[float], str]:
    """What names a moment [d since pitch] of a curve: the day, or in a short span the hour, too."""
    named = units.day_and_time if curve.to_day - curve.from_day <= FEW_DAYS else units.day
    return lambda day: named(curve.pitched_us + round(float(day) * _DAY_US))


def curve_says(curve: BatchCurve, units: Units) -> str:
    """The sentences; none of what is not on the curve."""
    moment = moment_of(curve, units)
    said = [*_gravities(curve, units, moment), *_samples(curve, units, moment)]
    if curve.held is not None:
        said.append(f"Held still for {curve.held.hours} h, {_spans(curve.held, moment)}, by which it was proved.")
    if len(curve.temps):
        low, high = (units.number(float(value), 1) for value in (curve.temps.min(), curve.temps.max()))
        said.append(f"Temperature {value_range(low, f'{high} °{units.temperature}')}.")
    return " ".join(said)


def _spans(held: HeldStill, moment: Callable[[float], str]) -> str:
    if len(held.parts) > _MOST_PARTS:
        return f"between {moment(held.from_day)} and {moment(held.to_day)} with {len(held.parts) - 1} silences"
    return " and ".join(f"from {moment(since)} to {moment(until)}" for since, until in held.parts)


def _gravities(curve: BatchCurve, units: Units, moment: Callable[[float], str]) -> Iterator[str]:
    places = np.flatnonzero(curve.believed)
    if len(places):
        first, last = (_level(curve, units, float(curve.smooth[place])) for place in (places[0], places[-1]))
        since, until = (moment(curve.days[place]) for place in (places[0], places[-1]))
        yield f"Gravity by the sensor from {first} on {since} to {last} on {until}."
    if not (curve.believed | curve.repeated).all():
        yield "What was read in the cold is not believed, and is dashed."
    if curve.repeated.any():
        yield "Where the sensor gave the same again and again it is not believed, and is dashed."


def _level(curve: BatchCurve, units: Units, gravity: float) -> str:
    return units.shown_level(gravity) if curve.to_day - curve.from_day <= FEW_DAYS else units.on_axis(gravity)


def _samples(curve: BatchCurve, units: Units, moment: Callable[[float], str]) -> Iterator[str]:
    if curve.samples:
        read = ", ".join(f"{_level(curve, units, mark.gravity)} on {moment(mark.day)}" for mark in curve.samples)
        yield f"{counted(len(curve.samples), 'hand sample')}: {read}."
