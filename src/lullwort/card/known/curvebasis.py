"""What the card's curve rests on whatever its units and span: made once, and kept with the facts of its batch."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from lullwort.analysis import CourseHour, CourseReadings
from lullwort.card.known.curveband import level_sds
from lullwort.detector import Judged
from lullwort.exporting import CurveGround, HeldStill, curve_ground, held_still
from lullwort.packaging_day import SheetFacts
from lullwort.units import FloatArray

__all__ = ["CurveBasis", "curve_basis"]


class CurveBasis(NamedTuple):
    """Of one batch.

    Attributes:
        made_of: the facts that it was made of; where one of them is another it is out of date.
        ground: hours in columns.
        sds:    [points] of each smoothed hour, see `level_sds`.
        mended: [points] of each reading.
        so_far: while it is holding the window so far, in points.
    """

    made_of: tuple[SheetFacts, Sequence[CourseHour], CourseReadings]
    ground: CurveGround
    sds: FloatArray
    mended: FloatArray
    so_far: HeldStill | None


def curve_basis(sheet: SheetFacts, judged: Judged, course: Sequence[CourseHour], each: CourseReadings) -> CurveBasis:
    """The basis of facts as of one instant."""
    ground, seen = curve_ground(sheet, course), sheet.seen
    mended = np.asarray((each.points.astype(np.float64) - seen.offset) / seen.scale)  # as `seen.gravity_of`, of many
    so_far = held_still(seen, course, sheet.batch) if judged.verdict == "holding" and ground.held is None else None
    return CurveBasis((sheet, course, each), ground, level_sds(ground, seen), mended, so_far)
