"""The courses of a batch and of the earlier ones of its recipe, drawn in the brewer's units."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from lullwort.analysis import CourseHour
from lullwort.cli.repeats import Beside
from lullwort.detector import Snapshot, Units
from lullwort.errors import RefusedError
from lullwort.exporting import DrawnCourse, overlay_svg, write_text
from lullwort.forecast import likeness_says
from lullwort.records import HOUR_US, Batch
from lullwort.science import from_sg
from lullwort.standing import Repeat
from lullwort.units import FloatArray

__all__ = ["drawn_course", "drawn_courses", "write_picture"]

_AFTER_END_H = 48.0
_LEAST_SG, _MOST_SG = 0.97, 1.2
_NEIGHBOURS = 2


def drawn_courses(beside: Beside, units: Units) -> list[DrawnCourse]:
    """Those that have a gravity, the earlier first, until some time after their ends; the sensor mended."""
    to_h = max(_shown_h(repeat) for repeat in [*beside.earlier, beside.asked])
    drawn = [_drawn(repeat, to_h, units) for repeat in [*beside.earlier, beside.asked]]
    return [course for course in drawn if course is not None]


def write_picture(path: Path, beside: Beside, units: Units, *, overwrite: bool) -> None:
    """Write all of them over each other as SVG. Raises as `write_text`; RefusedError if there is nothing to draw."""
    batch, drawn = beside.asked.batch, drawn_courses(beside, units)
    if not drawn or drawn[-1].name != batch.name:
        raise RefusedError(f"{path}: not drawn, for {batch.name!r} has no hour with a gravity yet")
    title, says = f"{batch.name} and its recipe {batch.recipe!r}", " ".join(likeness_says(beside.likeness, units))
    svg = overlay_svg(drawn[-1], drawn[:-1], title, says, units)
    write_text(path, svg, overwrite=overwrite)


def _shown_h(repeat: Repeat) -> float:
    """[h since pitch] To where a batch is worth drawing: some time after it was ready, or all that there is."""
    ends = [repeat.traits.ready_h.value + _AFTER_END_H] if repeat.traits.ready_h else []
    return min([*ends, (repeat.judged.as_of_us - repeat.batch.pitched_us) / HOUR_US])


def _drawn(repeat: Repeat, to_h: float, units: Units) -> DrawnCourse | None:
    return drawn_course(repeat.batch, repeat.judged.now, repeat.course, to_h, units)


def drawn_course(
    batch: Batch, now: Snapshot, course: Sequence[CourseHour], to_h: float, units: Units
) -> DrawnCourse | None:
    """The course of one batch until `to_h` [h since pitch], the sensor mended; None if no hour has a gravity."""
    pitched_us = batch.pitched_us
    seen = [
        ((hour.end_us - pitched_us) / HOUR_US, 1.0 + now.gravity_of(hour.points) / 1000.0)
        for hour in course
        if hour.points is not None
    ]
    hours, gravity = np.array(seen).reshape(-1, 2).T
    within = hours <= to_h
    if not within.any():
        return None
    even = np.clip(_without_lone(gravity[within]), _LEAST_SG, _MOST_SG)
    shown = from_sg(even, units.gravity)
    return DrawnCourse(batch.name, hours[within] / 24.0, shown)


def _without_lone(gravity: FloatArray) -> FloatArray:
    """Median of each hour and its neighbours: a few wild hours would set the scale of the picture."""
    padded = np.pad(gravity, _NEIGHBOURS, mode="edge")
    return np.asarray(np.median(np.lib.stride_tricks.sliding_window_view(padded, 2 * _NEIGHBOURS + 1), axis=1))
