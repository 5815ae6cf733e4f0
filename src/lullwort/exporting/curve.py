"""The course of one batch as SVG: gravity above, temperature below, on one axis of time.

It has no style of its own: the page around it takes in `CURVE_STYLE`, so that many curves share one. Nothing is told
by colour alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from lullwort.detector import ShownGravity, Units, value_range
from lullwort.exporting.batchcurve import BatchCurve, HeldStill, Tick, runs
from lullwort.exporting.escaped import escaped
from lullwort.exporting.overlay import ticks
from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["CURVE_STYLE", "CurveSize", "curve_says", "curve_svg", "extremes"]

CURVE_STYLE = (
    ".curve{display:block;width:100%;height:auto;font-size:11px;color:var(--ink,#222)}"
    ".curve text{fill:currentColor;paint-order:stroke;stroke:var(--paper,#fff);stroke-width:3px;stroke-linejoin:round}"
    ".curve .faint{fill:var(--quiet,#5c5c5c)}"
    ".curve .grid{stroke:var(--hair,#ddd);stroke-width:1}.curve .frame{fill:none;stroke:var(--quiet,#666)}"
    ".curve .hourly{fill:none;stroke:var(--quiet,#777);stroke-width:1.5;stroke-linecap:round;opacity:.45}"
    ".curve .smooth{fill:none;stroke:currentColor;stroke-width:1.9;stroke-linejoin:round}"
    ".curve .guess{stroke-dasharray:5 4;stroke-width:1.3}"
    ".curve .temp{fill:none;stroke:currentColor;stroke-width:1.2}"
    ".curve .sample{fill:var(--paper,#fff);stroke:currentColor;stroke-width:1.6}"
    ".curve .whisker{stroke:currentColor;stroke-width:1.2}"
    ".curve .tick{stroke:currentColor;stroke-width:1;stroke-dasharray:1.5 2.5}"
    ".curve .held{fill:var(--held,#e8eef0);stroke:currentColor;stroke-width:1;stroke-dasharray:4 2}"
    ".curve .end{stroke:var(--quiet,#666);stroke-width:1;stroke-dasharray:8 3 1 3}"
)

_CHARACTER, _LABEL_GAP = 5.9, 8.0
"""[px] A character of a label is at most about so wide, and labels stand so far apart."""
_LANE, _MOST_LANES = 13, 3
_TEMP_HEIGHT, _BETWEEN, _AXIS = 58, 12, 32
_DIAMOND = 5.5
_AIR = 0.06
_DAY_US = 24 * HOUR_US
_UNITS_ON_AXIS: dict[ShownGravity, str] = {"sg": "", "plato": " °P", "points": " pt"}


class CurveSize(NamedTuple):
    """[px] Of the whole picture; a page may scale it."""

    width: int
    height: int


class _Panel(NamedTuple):
    """A field of the picture [px], and what its lower and upper edge stand for."""

    left: float
    right: float
    top: float
    bottom: float
    low: float
    high: float

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return self.bottom - min(max(share, 0.0), 1.0) * (self.bottom - self.top)


class _Placed(NamedTuple):
    """A tick with its label, empty where there is no room for one; `lane` is counted from below."""

    x: float
    label: str
    lane: int
    anchor: str


def curve_svg(curve: BatchCurve, units: Units, size: CurveSize, label: str) -> str:
    """The picture; `label` is what it is called for who cannot see it.

    Args:    size: 300 px wide or more, 240 px high or more.
    """
    left, right = 50.0, size.width - 12.0
    span = curve.to_day - curve.from_day

    def x(day: float) -> float:
        return left + (day - curve.from_day) / span * (right - left)

    placed = _placed(curve.ticks, x, left, right)
    lanes = max((tick.lane + 1 for tick in placed), default=0)
    top, bottom = 6.0 + lanes * _LANE, size.height - _AXIS
    temp_top = bottom - _TEMP_HEIGHT if len(curve.temps) else bottom
    gravity = _Panel(left, right, top, temp_top - (_BETWEEN if len(curve.temps) else 0), *_gravity_span(curve, units))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="curve" viewBox="0 0 {size.width} {size.height}" role="img" '
        f'aria-label="{escaped(label)}">',
        *_days(curve, x, gravity.top, bottom, size, units),
        *_grid(gravity, 6, units.on_axis, _UNITS_ON_AXIS[units.gravity]),
        *_expected(curve, gravity),
        *(_held(curve.held, x, gravity) if curve.held else ()),
        *_gravities(curve, x, gravity),
        *_events(placed, top, bottom),
        *_samples(curve, x, gravity),
    ]
    if len(curve.temps):
        temperature = _Panel(left, right, temp_top, bottom, *_temp_span(curve))
        parts += _grid(temperature, 3, lambda degrees: units.number(degrees, 0), f" °{units.temperature}")
        parts += _temperature(curve, x, temperature)
    return "\n".join([*parts, "</svg>\n"])


def extremes(x: FloatArray, y: FloatArray) -> list[tuple[int, float, float]]:
    """For each pixel of `x` that has a value: the pixel, and its smallest and largest `y`, so that no peak is lost.

    >>> extremes(np.array([0.2, 0.7, 3.1]), np.array([5.0, 9.0, 1.0]))
    [(0, 5.0, 9.0), (3, 1.0, 1.0)]
    """
    if not len(x):
        return []
    pixels = np.floor(x).astype(int)
    order = np.argsort(pixels, kind="stable")
    pixels, values = pixels[order], y[order]
    first = np.flatnonzero(np.diff(pixels, prepend=pixels[0] - 1))
    least, most = np.minimum.reduceat(values, first), np.maximum.reduceat(values, first)
    return list(zip(pixels[first].tolist(), least.tolist(), most.tolist(), strict=True))


def curve_says(curve: BatchCurve, units: Units) -> str:
    """What the picture shows, in sentences, for who cannot see it."""
    said = []
    if len(curve.smooth):
        first, last = (units.on_axis(float(value)) for value in (curve.smooth[0], curve.smooth[-1]))
        since, until = (_date(curve, day, units) for day in (curve.days[0], curve.days[-1]))
        said.append(f"Gravity by the sensor from {first} on {since} to {last} on {until}.")
    if curve.samples:
        many = f"{len(curve.samples)} hand samples" if len(curve.samples) > 1 else "1 hand sample"
        read = ", ".join(f"{units.on_axis(mark.gravity)} on {_date(curve, mark.day, units)}" for mark in curve.samples)
        said.append(f"{many}: {read}.")
    if curve.held is not None:
        since, until = (_date(curve, day, units) for day in curve.held[:2])
        said.append(f"Held still from {since} to {until}, by which it was proved.")
    if len(curve.temps):
        low, high = (units.number(float(value), 1) for value in (curve.temps.min(), curve.temps.max()))
        said.append(f"Temperature {value_range(low, f'{high} °{units.temperature}')}.")
    return " ".join(said)


def _date(curve: BatchCurve, day: float, units: Units) -> str:
    return units.day(curve.pitched_us + round(float(day) * _DAY_US))


def _gravity_span(curve: BatchCurve, units: Units) -> tuple[float, float]:
    values = [*curve.hourly, *(value for mark in curve.samples for value in mark[1:])]
    values += curve.held[2:] if curve.held else ()
    values += curve.expected or ()
    low, high = min(values), max(values)
    air = max(_AIR * (high - low), 10.0**-units.places_on_axis)
    return low - air, high + air


def _temp_span(curve: BatchCurve) -> tuple[float, float]:
    low, high = float(curve.temps.min()), float(curve.temps.max())
    if curve.yeast_min is not None:
        low, high = min(low, curve.yeast_min), max(high, curve.yeast_min)
    return math.floor(low - 0.5), math.ceil(high + 0.5)


def _days(
    curve: BatchCurve, x: Callable[[float], float], top: float, bottom: float, size: CurveSize, units: Units
) -> Iterator[str]:
    for day in ticks(max(0.0, curve.from_day), curve.to_day, max(3, size.width // 62)):
        at_x = x(day)
        yield f'<line x1="{at_x:.1f}" y1="{top:.1f}" x2="{at_x:.1f}" y2="{bottom:.1f}" class="grid"/>'
        if day != math.floor(day):
            continue
        anchor = "end" if at_x > size.width - 40.0 else "middle"
        yield f'<text x="{at_x:.1f}" y="{bottom + 14:.1f}" text-anchor="{anchor}">{_date(curve, day, units)}</text>'
        yield (f'<text x="{at_x:.1f}" y="{bottom + 27:.1f}" text-anchor="{anchor}" class="faint">day {day:.0f}</text>')


def _grid(panel: _Panel, most: int, shown: Callable[[float], str], unit: str) -> Iterator[str]:
    yield (
        f'<rect x="{panel.left:.1f}" y="{panel.top:.1f}" width="{panel.right - panel.left:.1f}" '
        f'height="{panel.bottom - panel.top:.1f}" class="frame"/>'
    )
    marked = ticks(panel.low, panel.high, most)
    for value in marked:
        at_y, named = panel.y(value), unit if value == marked[-1] else ""
        yield f'<line x1="{panel.left:.1f}" y1="{at_y:.1f}" x2="{panel.right:.1f}" y2="{at_y:.1f}" class="grid"/>'
        yield f'<text x="{panel.left - 6:.1f}" y="{at_y + 4:.1f}" text-anchor="end">{shown(value)}{named}</text>'


def _expected(curve: BatchCurve, panel: _Panel) -> Iterator[str]:
    for value in curve.expected or ():
        yield (
            f'<line x1="{panel.left:.1f}" y1="{panel.y(value):.1f}" x2="{panel.right:.1f}" y2="{panel.y(value):.1f}" '
            'class="end"/>'
        )


def _held(held: HeldStill, x: Callable[[float], float], panel: _Panel) -> Iterator[str]:
    top, bottom = panel.y(held.high), panel.y(held.low)
    yield (
        f'<rect x="{x(held.from_day):.1f}" y="{top - 3:.1f}" width="{x(held.to_day) - x(held.from_day):.1f}" '
        f'height="{bottom - top + 6:.1f}" class="held"/>'
    )


def _gravities(curve: BatchCurve, x: Callable[[float], float], panel: _Panel) -> Iterator[str]:
    at_x = np.array([x(day) for day in curve.days])
    strokes = [
        f"M{pixel + 0.5:.1f} {panel.y(most):.1f}v{panel.y(least) - panel.y(most):.1f}"
        for pixel, least, most in extremes(at_x, curve.hourly)
    ]
    if strokes:
        yield f'<path d="{"".join(strokes)}" class="hourly"/>'
    for run in runs(curve.days):
        yield _line(at_x[run], curve.smooth[run], panel, "smooth")
    if not strokes and len(curve.samples) > 1:
        drawn = " ".join(f"{x(mark.day):.1f},{panel.y(mark.gravity):.1f}" for mark in curve.samples)
        yield f'<polyline points="{drawn}" class="smooth guess"/>'


def _line(at_x: FloatArray, values: FloatArray, panel: _Panel, name: str) -> str:
    """Where several values share a pixel, its extremes in the order in which the line comes and goes."""
    drawn, last = [], None
    for pixel, least, most in extremes(at_x, values):
        pair = (least, most) if last is None or abs(least - last) <= abs(most - last) else (most, least)
        drawn += [f"{pixel + 0.5:.1f},{panel.y(value):.1f}" for value in dict.fromkeys(pair)]
        last = pair[-1]
    return f'<polyline points="{" ".join(drawn)}" class="{name}"/>'


def _temperature(curve: BatchCurve, x: Callable[[float], float], panel: _Panel) -> Iterator[str]:
    at_x = np.array([x(day) for day in curve.temp_days])
    if curve.yeast_min is not None:
        at_y = panel.y(curve.yeast_min)
        yield f'<line x1="{panel.left:.1f}" y1="{at_y:.1f}" x2="{panel.right:.1f}" y2="{at_y:.1f}" class="end"/>'
    for run in runs(curve.temp_days):
        yield _line(at_x[run], curve.temps[run], panel, "temp")


def _samples(curve: BatchCurve, x: Callable[[float], float], panel: _Panel) -> Iterator[str]:
    for mark in curve.samples:
        at_x, at_y = x(mark.day), panel.y(mark.gravity)
        yield (
            f'<line x1="{at_x:.1f}" y1="{panel.y(mark.high):.1f}" x2="{at_x:.1f}" y2="{panel.y(mark.low):.1f}" '
            'class="whisker"/>'
        )
        yield (
            f'<path d="M{at_x:.1f} {at_y - _DIAMOND:.1f}l{_DIAMOND:.1f} {_DIAMOND:.1f} -{_DIAMOND:.1f} '
            f'{_DIAMOND:.1f} -{_DIAMOND:.1f} -{_DIAMOND:.1f}z" class="sample"/>'
        )


def _events(placed: Sequence[_Placed], top: float, bottom: float) -> Iterator[str]:
    """Lines first, so that none crosses the words of another."""
    for tick in placed:
        from_y = top - tick.lane * _LANE
        yield f'<line x1="{tick.x:.1f}" y1="{from_y:.1f}" x2="{tick.x:.1f}" y2="{bottom:.1f}" class="tick"/>'
    for tick in placed:
        by = 3.0 if tick.anchor == "start" else -3.0
        if tick.label:
            yield (
                f'<text x="{tick.x + by:.1f}" y="{top - tick.lane * _LANE - 4:.1f}" text-anchor="{tick.anchor}">'
                f"{escaped(tick.label)}</text>"
            )


def _placed(marked: Sequence[Tick], x: Callable[[float], float], left: float, right: float) -> list[_Placed]:
    """Each tick in the lowest lane with room for its number and words, or else for its number alone, or for none."""
    free = [left - _LABEL_GAP] * _MOST_LANES
    placed = []
    for tick in marked:
        at_x, found = x(tick.day), None
        for label in (f"{tick.mark} {tick.says}".strip(), tick.mark):
            wide = _CHARACTER * len(label) + 3.0
            anchor = "start" if at_x + wide <= right else "end"
            begins = at_x if anchor == "start" else at_x - wide
            lane = next((nth for nth, upto in enumerate(free) if begins >= upto + _LABEL_GAP), None)
            if label and lane is not None and found is None:
                found = _Placed(at_x, label, lane, anchor)
                free[lane] = begins + wide
        placed.append(found or _Placed(at_x, "", 0, "start"))
    return placed
