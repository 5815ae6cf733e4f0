"""The courses of several batches in one picture made of letters, for a terminal of text."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from lullwort.detector import Units
from lullwort.exporting import DrawnCourse, frame_of, ticks
from lullwort.units import FloatArray

__all__ = ["overlay_text"]

_HEIGHT = 16
_DAY_LABELS = 6


def overlay_text(courses: Sequence[tuple[str, DrawnCourse]], width: int, units: Units) -> list[str]:
    """Lines no longer than `width`, 30 or more: gravity downwards over days since the pitch.

    Args:
        courses: each with the letter that draws it; where several meet, the last one is seen.
        units:   of the gravities, which are in that of `units` already.
    """
    days, low, high = frame_of([course for _, course in courses], units.places_on_axis)
    labels = {
        round((high - level) / (high - low) * (_HEIGHT - 1)): units.on_axis(level) for level in ticks(low, high, 5)
    }
    margin = max(map(len, labels.values()))
    columns = width - margin - 2
    cells = [[" "] * columns for _ in range(_HEIGHT)]
    for letter, course in courses:
        for column, gravity in enumerate(_by_column(course, days, columns)):
            if gravity == gravity:
                cells[round((high - gravity) / (high - low) * (_HEIGHT - 1))][column] = letter
    lines = [f"{labels.get(row, ''):>{margin}} |{''.join(line)}".rstrip() for row, line in enumerate(cells)]
    axis, below = ["-"] * columns, [" "] * (margin + 2 + columns)
    for day in ticks(0.0, days, min(_DAY_LABELS, columns // 8)):
        column = min(columns - 1, int(day / days * columns))
        label, axis[column] = units.short(day), "+"
        from_column = min(margin + 2 + column, len(below) - len(label))
        below[from_column : from_column + len(label)] = label
    return [
        *lines,
        f"{'':>{margin}} +{''.join(axis)}",
        "".join(below).rstrip(),
        f"{'':>{margin}}  days since the pitch",
    ]


def _by_column(course: DrawnCourse, days: float, columns: int) -> FloatArray:
    """Median gravity in each column, shape (columns,); NaN where there is none."""
    column = np.minimum((course.days / days * columns).astype(int), columns - 1)
    medians = np.full(columns, np.nan)
    for of in np.unique(column):
        medians[of] = np.median(course.gravity[column == of])
    return medians
