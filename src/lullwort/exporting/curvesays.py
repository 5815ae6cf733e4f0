"""What a curve shows, in sentences, for who cannot see it."""

from __future__ import annotations

from collections.abc import Callable

from lullwort.detector import Units, value_range
from lullwort.exporting.batchcurve import BatchCurve
from lullwort.records import HOUR_US

__all__ = ["curve_says"]

_DAY_US = 24 * HOUR_US


def curve_says(curve: BatchCurve, units: Units) -> str:
    """The sentences; none of what is not on the curve."""

    def date(day: float) -> str:
        return units.day(curve.pitched_us + round(float(day) * _DAY_US))

    said = [*_gravities(curve, units, date), *_samples(curve, units, date)]
    if curve.held is not None:
        since, until = (date(day) for day in curve.held[:2])
        said.append(f"Held still from {since} to {until}, by which it was proved.")
    if len(curve.temps):
        low, high = (units.number(float(value), 1) for value in (curve.temps.min(), curve.temps.max()))
        said.append(f"Temperature {value_range(low, f'{high} °{units.temperature}')}.")
    return " ".join(said)


def _gravities(curve: BatchCurve, units: Units, date: Callable[[float], str]) -> list[str]:
    if not len(curve.smooth):
        return []
    first, last = (units.on_axis(float(value)) for value in (curve.smooth[0], curve.smooth[-1]))
    since, until = (date(day) for day in (curve.days[0], curve.days[-1]))
    return [f"Gravity by the sensor from {first} on {since} to {last} on {until}."]


def _samples(curve: BatchCurve, units: Units, date: Callable[[float], str]) -> list[str]:
    if not curve.samples:
        return []
    many = f"{len(curve.samples)} hand samples" if len(curve.samples) > 1 else "1 hand sample"
    read = ", ".join(f"{units.on_axis(mark.gravity)} on {date(mark.day)}" for mark in curve.samples)
    return [f"{many}: {read}."]
