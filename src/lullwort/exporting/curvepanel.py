"""The fields of a curve's picture: what their edges stand for, their axes and grids."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from lullwort.detector import ShownGravity, Units
from lullwort.exporting.overlay import ticks
from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["UNITS_ON_AXIS", "Axis", "CurveSize", "Panel", "clock_marks", "date_of", "day_marks", "grid", "level_line"]

UNITS_ON_AXIS: dict[ShownGravity, str] = {"sg": "", "plato": " °P", "points": " pt"}
_DAY_US, _QUARTER_US = 24 * HOUR_US, HOUR_US // 4
_LABEL_WIDTH = 62
"""[px] A label of the time axis has so much room."""
_CLOCK_STEPS_H = (1, 2, 3, 6, 12, 24)


class CurveSize(NamedTuple):
    """[px] Of the whole picture; a page may scale it."""

    width: int
    height: int


class Axis(NamedTuple):
    """The time axis: its ends [px], the days since the pitch for which they stand, and when that was [µs]."""

    left: float
    right: float
    from_day: float
    to_day: float
    pitched_us: int

    def x(self, day: float) -> float:
        """[px] Of a moment [d since pitch]."""
        return self.left + (day - self.from_day) / (self.to_day - self.from_day) * (self.right - self.left)

    def xs(self, days: FloatArray) -> FloatArray:
        """[px] Of moments [d since pitch]."""
        return np.asarray(
            self.left + (days - self.from_day) * ((self.right - self.left) / (self.to_day - self.from_day))
        )

    def within(self, day: float) -> bool:
        """Whether it shows this moment."""
        return self.from_day <= day <= self.to_day


class Panel(NamedTuple):
    """A field of the picture [px], and what its lower and upper edge stand for."""

    left: float
    right: float
    top: float
    bottom: float
    low: float
    high: float

    def y(self, value: float) -> float:
        """[px] Of a value; of one beyond an edge that edge."""
        share = (value - self.low) / (self.high - self.low)
        return self.bottom - min(max(share, 0.0), 1.0) * (self.bottom - self.top)

    def ys(self, values: FloatArray) -> FloatArray:
        """[px] Of values likewise."""
        shares = np.clip((values - self.low) / (self.high - self.low), 0.0, 1.0)
        return np.asarray(self.bottom - shares * (self.bottom - self.top))


def date_of(axis: Axis, day: float, units: Units) -> str:
    """The local day of a moment [d since pitch]."""
    return units.day(axis.pitched_us + round(float(day) * _DAY_US))


def day_marks(axis: Axis, top: float, bottom: float, size: CurveSize, units: Units) -> Iterator[str]:
    """Days since the pitch, each with its date."""
    marked = ticks(max(0.0, axis.from_day), axis.to_day, max(3, size.width // _LABEL_WIDTH))
    yield _uprights([axis.x(day) for day in marked], top, bottom)
    for day in marked:
        if day == math.floor(day):
            yield from _label(axis.x(day), bottom, size, date_of(axis, day, units), f"day {day:.0f}")


def clock_marks(axis: Axis, top: float, bottom: float, size: CurveSize, units: Units) -> Iterator[str]:
    """Full hours of the brewer's clock, where the picture spans a few days or less."""
    from_us, to_us = (axis.pitched_us + round(day * _DAY_US) for day in (axis.from_day, axis.to_day))
    most = max(3, size.width // _LABEL_WIDTH)
    apart = next((step for step in _CLOCK_STEPS_H if (to_us - from_us) / HOUR_US / step <= most), _CLOCK_STEPS_H[-1])
    at_us = -(-from_us // _QUARTER_US) * _QUARTER_US
    while not units.day_and_time(at_us).endswith(":00"):
        at_us += _QUARTER_US
    labels = []
    while at_us <= to_us:
        clock = units.day_and_time(at_us).rpartition(" ")[2]
        if int(clock[:2]) % apart == 0:
            labels.append((axis.x((at_us - axis.pitched_us) / _DAY_US), clock, units.day(at_us)))
        at_us += HOUR_US
    yield _uprights([at_x for at_x, _, _ in labels], top, bottom)
    for at_x, clock, day in labels:
        yield from _label(at_x, bottom, size, clock, day)


def grid(panel: Panel, most: int, shown: Callable[[float], str], unit: str) -> Iterator[str]:
    """The frame of a panel with at most about `most` levels, the uppermost with its unit."""
    yield (
        f'<rect x="{panel.left:.1f}" y="{panel.top:.1f}" width="{panel.right - panel.left:.1f}" '
        f'height="{panel.bottom - panel.top:.1f}" class="frame"/>'
    )
    marked = ticks(panel.low, panel.high, most)
    levels = "".join(f"M{panel.left:.1f} {panel.y(value):.1f}H{panel.right:.1f}" for value in marked)
    yield f'<path d="{levels}" class="grid"/>'
    for value in marked:
        at_y, named = panel.y(value), unit if value == marked[-1] else ""
        yield f'<text x="{panel.left - 6:.1f}" y="{at_y + 4:.1f}" text-anchor="end">{shown(value)}{named}</text>'


def level_line(panel: Panel, value: float, name: str) -> str:
    """A value right across a panel."""
    at_y = panel.y(value)
    return f'<line x1="{panel.left:.1f}" y1="{at_y:.1f}" x2="{panel.right:.1f}" y2="{at_y:.1f}" class="{name}"/>'


def _uprights(at_xs: Sequence[float], top: float, bottom: float) -> str:
    """Across both fields."""
    return f'<path d="{"".join(f"M{at_x:.1f} {top:.1f}V{bottom:.1f}" for at_x in at_xs)}" class="grid"/>'


def _label(at_x: float, bottom: float, size: CurveSize, upper: str, lower: str) -> Iterator[str]:
    anchor = "end" if at_x > size.width - 40.0 else "middle"
    yield f'<text x="{at_x:.1f}" y="{bottom + 14:.1f}" text-anchor="{anchor}">{upper}</text>'
    yield f'<text x="{at_x:.1f}" y="{bottom + 27:.1f}" text-anchor="{anchor}" class="faint">{lower}</text>'
