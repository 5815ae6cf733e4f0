"""The course of one batch as SVG: gravity above, temperature below, on one axis of time.

It has no style of its own: the page around it takes in `CURVE_STYLE`, so that many curves share one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from lullwort.detector import Units
from lullwort.exporting.batchcurve import BatchCurve
from lullwort.exporting.curveground import runs, smooth_runs
from lullwort.exporting.curvelines import line, strokes
from lullwort.exporting.curvemarks import LANE, event_marks, held_boxes, placed, sample_marks, samples_joined
from lullwort.exporting.curvepanel import UNITS_ON_AXIS, Axis, CurveSize, Panel, day_marks, grid, level_line
from lullwort.exporting.escaped import escaped

__all__ = ["curve_svg"]

_TEMP_HEIGHT, _BETWEEN, _AXIS = 58, 12, 32
_AIR = 0.06


def curve_svg(curve: BatchCurve, units: Units, size: CurveSize, label: str) -> str:
    """The picture; `label` is what it is called for who cannot see it.

    Args:    size: 300 px wide or more, 240 px high or more.
    """
    axis = Axis(50.0, size.width - 12.0, curve.from_day, curve.to_day, curve.pitched_us)
    marked = placed(curve.ticks, axis)
    lanes = max((tick.lane + 1 for tick in marked), default=0)
    top, bottom = 6.0 + lanes * LANE, size.height - _AXIS
    temp_top = bottom - _TEMP_HEIGHT if len(curve.temps) else bottom
    lowest = temp_top - (_BETWEEN if len(curve.temps) else 0)
    gravity = Panel(axis.left, axis.right, top, lowest, *_gravity_span(curve, units))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="curve" viewBox="0 0 {size.width} {size.height}" role="img" '
        f'aria-label="{escaped(label)}">',
        *day_marks(axis, gravity.top, bottom, size, units),
        *grid(gravity, 6, units.on_axis, UNITS_ON_AXIS[units.gravity]),
        *(level_line(gravity, value, "end") for value in curve.expected or ()),
        *(held_boxes(curve.held, axis, gravity) if curve.held else ()),
        *_gravities(curve, axis, gravity),
        *event_marks(marked, top, bottom),
        *sample_marks(curve.samples, axis, gravity),
    ]
    if len(curve.temps):
        temperature = Panel(axis.left, axis.right, temp_top, bottom, *_temp_span(curve))
        parts += grid(temperature, 3, lambda degrees: units.number(degrees, 0), f" °{units.temperature}")
        parts += _temperature(curve, axis, temperature)
    return "\n".join([*parts, "</svg>\n"])


def _gravity_span(curve: BatchCurve, units: Units) -> tuple[float, float]:
    values = [value for mark in curve.samples for value in mark[1:]]
    values += [float(curve.hourly.min()), float(curve.hourly.max())] if len(curve.hourly) else []
    values += (curve.held.low, curve.held.high) if curve.held else ()
    values += curve.expected or ()
    low, high = min(values), max(values)
    air = max(_AIR * (high - low), 10.0**-units.places_on_axis)
    return low - air, high + air


def _temp_span(curve: BatchCurve) -> tuple[float, float]:
    low, high = float(curve.temps.min()), float(curve.temps.max())
    if curve.yeast_min is not None:
        low, high = min(low, curve.yeast_min), max(high, curve.yeast_min)
    return math.floor(low - 0.5), math.ceil(high + 0.5)


def _gravities(curve: BatchCurve, axis: Axis, panel: Panel) -> Iterator[str]:
    at_x = axis.xs(curve.days)
    if len(at_x):
        yield strokes(at_x, curve.hourly, panel, "hourly")
    for run, believed in smooth_runs(curve.days, curve.believed):
        yield line(at_x[run], curve.smooth[run], panel, "smooth" if believed else "smooth cold")
    if not len(at_x):
        yield from samples_joined(curve.samples, axis, panel)


def _temperature(curve: BatchCurve, axis: Axis, panel: Panel) -> Iterator[str]:
    at_x = axis.xs(curve.temp_days)
    if curve.yeast_min is not None:
        yield level_line(panel, curve.yeast_min, "end")
    for run in runs(curve.temp_days):
        yield line(at_x[run], curve.temps[run], panel, "temp")
