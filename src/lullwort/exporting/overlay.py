"""The courses of several batches in one picture, as SVG."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from lullwort.detector import Units
from lullwort.exporting.escaped import escaped
from lullwort.units import FloatArray

__all__ = ["DrawnCourse", "frame_of", "overlay_svg", "ticks"]

_WIDTH, _HEIGHT = 760, 440
_LEFT, _RIGHT, _TOP, _BOTTOM = 80, 20, 44, 56
_LINE = 18
_DASHES = ("7 3", "2 3", "9 3 2 3", "14 4", "4 2", "14 3 2 3 2 3")
_STYLE = (
    "<style>svg{color:#222}.paper{fill:#fff}text{fill:currentColor}.grid{stroke:#ddd}"
    ".line{fill:none;stroke:#777;stroke-width:1.3}.asked{stroke:#b3261e;stroke-width:3.2}"
    "@media(prefers-color-scheme:dark){svg{color:#eee}.paper{fill:#161616}.grid{stroke:#3a3a3a}"
    ".line{stroke:#999}.asked{stroke:#ff8a80}}</style>"
)


class DrawnCourse(NamedTuple):
    """The course of one batch: `name`, and at each of `days` [d since pitch] its `gravity`, in any one unit."""

    name: str
    days: FloatArray
    gravity: FloatArray


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round values from `low` to `high`, at most `most` + 1, evenly apart.

    >>> ticks(0.0, 17.0, 6)
    [0.0, 5.0, 10.0, 15.0]
    """
    least = (high - low) / most
    size = 10.0 ** math.floor(math.log10(least))
    step = next(size * factor for factor in (1.0, 2.0, 5.0, 10.0) if size * factor >= least * (1.0 - 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(i * step, 9) for i in range(first, last + 1)]


def frame_of(courses: Sequence[DrawnCourse], places: int) -> tuple[float, float, float]:
    """Days, lowest and highest gravity that a picture of `courses`, 1 or more, must hold; never without extent.

    Args:    places: decimals of a gravity.
    """
    low = min(float(course.gravity.min()) for course in courses)
    high = max(float(course.gravity.max()) for course in courses)
    days = max(float(course.days[-1]) for course in courses)
    return max(days, 1.0), low, max(high, low + 10.0**-places)


def overlay_svg(asked: DrawnCourse, earlier: Sequence[DrawnCourse], title: str, says: str, units: Units) -> str:
    """Gravity over days since the pitch: `asked` thick, the `earlier` ones thin, each dashed in a way of its own.

    Args:
        says: what the picture shows, for who cannot see it.
        units: of the gravities, which are in that of `units` already.
    """
    courses = [*earlier, asked]
    days, low, high = frame_of(courses, units.places_on_axis)
    right, bottom = _WIDTH - _RIGHT, _HEIGHT - _BOTTOM

    def x(day: float) -> float:
        return _LEFT + day / days * (right - _LEFT)

    def y(gravity: float) -> float:
        return bottom - (gravity - low) / (high - low) * (bottom - _TOP)

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img" font-family="serif" '
        f'font-size="14"><title>{escaped(title)}</title><desc>{escaped(says)}</desc>{_STYLE}',
        f'<rect width="{_WIDTH}" height="{_HEIGHT}" class="paper"/>',
        f'<text x="{_LEFT}" y="24" font-size="16">{escaped(title)}</text>',
    ]
    for day in ticks(0.0, days, 8):
        parts.append(f'<line x1="{x(day):.1f}" y1="{_TOP}" x2="{x(day):.1f}" y2="{bottom}" class="grid"/>')
        parts.append(f'<text x="{x(day):.1f}" y="{bottom + 20}" text-anchor="middle">{units.short(day)}</text>')
    for gravity in ticks(low, high, 6):
        at_y = y(gravity)
        parts.append(f'<line x1="{_LEFT}" y1="{at_y:.1f}" x2="{right}" y2="{at_y:.1f}" class="grid"/>')
        parts.append(f'<text x="{_LEFT - 8}" y="{at_y + 5:.1f}" text-anchor="end">{units.on_axis(gravity)}</text>')
    parts.append(
        f'<text x="{(_LEFT + right) // 2}" y="{_HEIGHT - 12}" text-anchor="middle">days since the pitch</text>'
    )
    for number, course in enumerate(courses):
        dashes = _DASHES[number % len(_DASHES)]
        how = 'class="line asked"' if course is asked else f'class="line" stroke-dasharray="{dashes}"'
        points = " ".join(f"{x(d):.1f},{y(g):.1f}" for d, g in zip(course.days, course.gravity, strict=True))
        parts.append(f'<polyline points="{points}" {how}/>')
        key_y = _TOP + 8 + _LINE * (len(courses) - 1 - number)
        parts.append(f'<line x1="{right - 200}" y1="{key_y}" x2="{right - 160}" y2="{key_y}" {how}/>')
        parts.append(f'<text x="{right - 150}" y="{key_y + 5}">{escaped(course.name)}</text>')
    return "\n".join([*parts, "</svg>\n"])
