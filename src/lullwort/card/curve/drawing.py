"""The card's picture of a batch as SVG, out of the parts that the sheet's picture is made of, and some more."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from lullwort.card.curve.content import CurveContent, Hold
from lullwort.detector import Units
from lullwort.exporting import (
    FEW_DAYS,
    LANE,
    UNITS_ON_AXIS,
    Axis,
    CurveSize,
    Panel,
    Tick,
    band,
    clock_marks,
    day_marks,
    escaped,
    event_marks,
    extremes,
    grid,
    held_boxes,
    level_line,
    line,
    placed,
    runs,
    sample_marks,
    samples_joined,
    smooth_runs,
    strokes,
)

__all__ = ["SMALL", "WIDE", "Frame", "drawing", "frame_of", "gravity_span"]

WIDE, SMALL = CurveSize(680, 400), CurveSize(320, 372)
"""For a screen, and for a phone; each is shown at its own width or wider, so that no text is smaller than it says."""
_LEFT, _RIGHT, _CHARACTER = 50.0, 10.0, 6.3
_TEMP_HEIGHT, _BETWEEN, _STRIP, _AXIS = 62, 10, 20, 32
_AIR, _LEAST_POINTS = 0.06, 4.0
_NEAR = 2.0
# As many times its own height away, the expected end would press what is shown together.
_CROSS, _SQUARE = 3.2, 3.0
_PASSED_APART = 4.0
_LONE_PER_PX = 1.2
# Fewer readings are dots, which must be larger to be seen than where they crowd.
_CLIMBS = 0.02
# Of the readings this share at either end may lie beyond the picture's edges.


class Frame(NamedTuple):
    """Where all lies in a picture: its axis, the fields of gravity and temperature, and the strip of verdicts."""

    axis: Axis
    gravity: Panel
    temperature: Panel | None
    strip_top: float
    bottom: float


def frame_of(content: CurveContent, edges: tuple[float, float], size: CurveSize, lanes: int) -> Frame:
    """The frame with room for so many lines of labels above, for what the edges of its field of gravity stand for."""
    curve = content.curve
    axis = Axis(_LEFT, size.width - _RIGHT, curve.from_day, curve.to_day, curve.pitched_us)
    bottom = float(size.height - _AXIS)
    strip_top = bottom - _STRIP
    temp_top = strip_top - _TEMP_HEIGHT if len(curve.temps) else strip_top
    lowest = temp_top - _BETWEEN if len(curve.temps) else strip_top
    gravity = Panel(axis.left, axis.right, 6.0 + lanes * LANE, lowest, *edges)
    temperature = None
    if len(curve.temps):
        temperature = Panel(axis.left, axis.right, temp_top, strip_top, *_temp_span(content))
    return Frame(axis, gravity, temperature, strip_top, bottom)


def drawing(
    content: CurveContent, units: Units, size: CurveSize, says_id: str, edges: tuple[float, float] | None = None
) -> str:
    """The picture.

    Args:    says_id: of the element that says what it shows.
             edges: those of `gravity_span`, where they are known already.
    """
    curve = content.curve
    axis = Axis(_LEFT, size.width - _RIGHT, curve.from_day, curve.to_day, curve.pitched_us)
    marked = placed(curve.ticks, axis, character=_CHARACTER)
    frame = frame_of(
        content, edges or gravity_span(content, units), size, max((tick.lane + 1 for tick in marked), default=0)
    )
    gravity, axis = frame.gravity, frame.axis
    times = clock_marks if curve.to_day - curve.from_day <= FEW_DAYS else day_marks
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="curve" viewBox="0 0 {size.width} {size.height}" role="img" '
        f'aria-labelledby="{says_id}" data-plot="{axis.left:.0f} {gravity.top:.0f} {axis.right:.0f} '
        f'{gravity.bottom:.0f} {frame.bottom:.0f}">',
        *times(axis, gravity.top, frame.bottom, size, units),
        *grid(gravity, 7, units.on_axis, UNITS_ON_AXIS[units.gravity]),
        *_held(content.hold, content.now_day, axis, gravity),
        *_gravities(content, axis, gravity),
        *_passed_over(content, axis, gravity),
        *event_marks(marked, gravity.top, frame.bottom),
        *sample_marks(curve.samples, axis, gravity),
        *_temperature(content, frame, units),
        *_now(content, frame),
        *_strip(content, frame),
        *_aside(content, frame),
        *_foreseen(content, frame),
    ]
    return "\n".join([*filter(None, parts), "</svg>"])


def gravity_span(content: CurveContent, units: Units) -> tuple[float, float]:
    """What the lower and the upper edge of the field of gravity stand for."""
    curve = content.curve
    values = [value for mark in curve.samples for value in mark[1:]]
    for each in (content.low, content.high, curve.smooth[~curve.believed]):
        known = each[~np.isnan(each)]
        values += [float(known.min()), float(known.max())] if len(known) else []
    if len(content.raw):
        values += np.quantile(content.raw, [_CLIMBS, 1.0 - _CLIMBS]).tolist()
    hold = content.hold
    if hold is not None:
        values += (hold.held.low, hold.held.high)
    if not values:
        values = [*(curve.expected or ())] or [1.0 if units.gravity == "sg" else 0.0]
    low, high = min(values), max(values)
    if curve.expected is not None:
        near = _NEAR * (high - low)
        low = min(low, max(curve.expected[0], low - near))
        high = max(high, min(curve.expected[1], high + near))
    least = _LEAST_POINTS * {"sg": 0.001, "points": 1.0, "plato": 0.25}[units.gravity]
    air = max(_AIR * (high - low), 0.5 * (least - (high - low)))
    return low - air, high + air


def _temp_span(content: CurveContent) -> tuple[float, float]:
    temps = content.curve.temps
    shown = [float(temps.min()), float(temps.max()), *(value for value in content.yeast if value is not None)]
    return math.floor(min(shown) - 0.5), math.ceil(max(shown) + 0.5)


def _held(hold: Hold | None, now_day: float, axis: Axis, panel: Panel) -> Iterator[str]:
    """A box about what has held still, and from now on a lane in which it must stay, with a gate at its end."""
    if hold is None:
        return
    yield from held_boxes(hold.held, axis, panel)
    if hold.until_day > now_day and axis.from_day <= now_day < axis.to_day:
        left, right = axis.x(now_day), axis.x(min(hold.until_day, axis.to_day))
        top, bottom = panel.y(hold.held.high) - 3.0, panel.y(hold.held.low) + 3.0
        ends = f"M{right:.1f} {top:.1f}V{bottom:.1f}" if hold.until_day <= axis.to_day else ""
        yield f'<path d="M{left:.1f} {top:.1f}H{right:.1f}M{left:.1f} {bottom:.1f}H{right:.1f}{ends}" class="needed"/>'


def _gravities(content: CurveContent, axis: Axis, panel: Panel) -> Iterator[str]:
    curve = content.curve
    at_x = axis.xs(curve.days)
    parts = list(smooth_runs(curve.days, curve.believed))
    for run, believed in parts:
        if believed:
            yield band(at_x[run], content.low[run], content.high[run], panel, "band")
    if len(content.raw):
        lone = len(content.raw) < _LONE_PER_PX * (axis.right - axis.left)
        yield strokes(axis.xs(content.days(content.raw_us)), content.raw, panel, "hourly lone" if lone else "hourly")
    for value in curve.expected or ():
        if panel.low <= value <= panel.high:
            yield level_line(panel, value, "end")
    for run, believed in parts:
        yield line(at_x[run], curve.smooth[run], panel, "smooth" if believed else "smooth cold")
    if not parts:
        yield from samples_joined(curve.samples, axis, panel)


def _passed_over(content: CurveContent, axis: Axis, panel: Panel) -> Iterator[str]:
    """A cross for each that was passed over, at an edge where it lies beyond; of many close together the outermost."""
    if not len(content.passed):
        return
    at_x = axis.xs(content.days(content.passed_us))
    values = np.where(np.isnan(content.passed), panel.low, content.passed)
    drawn = []
    for place, least, most in extremes(at_x / _PASSED_APART, values):
        x = (place + 0.5) * _PASSED_APART
        for y in dict.fromkeys((round(panel.y(least), 1), round(panel.y(most), 1))):
            y = min(max(y, panel.top + _CROSS), panel.bottom - _CROSS)
            drawn.append(
                f"M{x - _CROSS:.1f} {y - _CROSS:.1f}l{2 * _CROSS:.1f} {2 * _CROSS:.1f}m0 -{2 * _CROSS:.1f}"
                f"l-{2 * _CROSS:.1f} {2 * _CROSS:.1f}"
            )
    yield f'<path d="{"".join(drawn)}" class="passed"/>'


def _temperature(content: CurveContent, frame: Frame, units: Units) -> Iterator[str]:
    panel, curve = frame.temperature, content.curve
    if panel is None:
        return
    yield from grid(panel, 3, lambda degrees: units.number(degrees, 0), f" °{units.temperature}")
    for value in content.yeast:
        if value is not None:
            yield level_line(panel, value, "end")
    at_x = frame.axis.xs(curve.temp_days)
    for run in runs(curve.temp_days):
        yield line(at_x[run], curve.temps[run], panel, "temp")


def _now(content: CurveContent, frame: Frame) -> Iterator[str]:
    """Where what is foreseen begins, if anything of it is shown."""
    if frame.axis.from_day < content.now_day < frame.axis.to_day - 1e-6:
        at_x = frame.axis.x(content.now_day)
        yield f'<path d="M{at_x:.1f} {frame.gravity.top:.1f}V{frame.bottom:.1f}" class="now"/>'


def _strip(content: CurveContent, frame: Frame) -> Iterator[str]:
    """Each change of the verdict, with its word where there is room."""
    axis, y = frame.axis, frame.bottom - 6.0
    yield f'<path d="M{axis.left:.1f} {frame.bottom:.1f}H{axis.right:.1f}" class="frame"/>'
    for tick in content.changes:
        yield f'<path d="M{axis.x(tick.day):.1f} {frame.strip_top + 2:.1f}V{frame.bottom:.1f}" class="change"/>'
    for left, right, tick in _stretches(content, axis):
        if right - left > _CHARACTER * len(tick.says) + 4.0:
            yield f'<text x="{left + 3:.1f}" y="{y:.1f}">{escaped(tick.says)}</text>'


def _stretches(content: CurveContent, axis: Axis) -> Iterator[tuple[float, float, Tick]]:
    """From where to where [px] each verdict stood; the last up to what is foreseen, for its word may go on."""
    foreseen = content.foreseen
    ends = axis.right if foreseen is None else axis.x(min(max(foreseen.low_day, axis.from_day), axis.to_day))
    stood = [Tick(axis.from_day, "", content.stood)] if content.stood else []
    verdicts = [*stood, *content.changes]
    lefts = [axis.x(tick.day) for tick in verdicts]
    yield from zip(lefts, [*lefts[1:], ends][: len(lefts)], verdicts, strict=True)


def _aside(content: CurveContent, frame: Frame) -> Iterator[str]:
    """A square on the axis for each row set aside that tells when it was; of those in one place one."""
    if content.aside_us:
        at_x = frame.axis.xs(content.days(np.array(content.aside_us)))
        places = sorted({math.floor(x / _PASSED_APART) for x in at_x})
        side = 2.0 * _SQUARE
        drawn = "".join(
            f"M{(place + 0.5) * _PASSED_APART - _SQUARE:.1f} {frame.bottom - _SQUARE:.1f}"
            f"h{side:.1f}v{side:.1f}h-{side:.1f}z"
            for place in places
        )
        yield f'<path d="{drawn}" class="aside"/>'


def _foreseen(content: CurveContent, frame: Frame) -> Iterator[str]:
    """On the axis a bar with ends from when to when it is likely to be ready, with a diamond at the likeliest; an arrow
    where that lies beyond the picture."""
    foreseen, axis = content.foreseen, frame.axis
    if foreseen is None or foreseen.high_day < axis.from_day:
        return
    middle = frame.strip_top + 0.5 * _STRIP
    if foreseen.low_day >= axis.to_day:
        yield f'<path d="M{axis.right - 14:.1f} {middle:.1f}h12m-5-4l5 4-5 4" class="later"/>'
        return
    left, right = (axis.x(min(max(day, axis.from_day), axis.to_day)) for day in (foreseen.low_day, foreseen.high_day))
    ends = [
        f"M{axis.x(day):.1f} {middle - 6:.1f}v12" for day in (foreseen.low_day, foreseen.high_day) if axis.within(day)
    ]
    yield f'<path d="M{left:.1f} {middle:.1f}H{right:.1f}{"".join(ends)}" class="foreseen"/>'
    if axis.within(foreseen.about_day):
        at_x = axis.x(foreseen.about_day)
        yield f'<path d="M{at_x:.1f} {middle - 6:.1f}l5 6-5 6-5-6z" class="about"/>'
