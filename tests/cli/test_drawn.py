"""What is drawn of a batch: the beer, not its sensor's wild hours, and not the weeks that it stood afterwards."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from lullwort.analysis import CourseHour
from lullwort.cli.drawn import drawn_courses
from lullwort.cli.repeats import Beside
from lullwort.detector import Units, judge
from lullwort.forecast import Known, Likeness, Traits
from lullwort.records import HOUR_US, Batch, VesselReadings
from lullwort.science import from_sg
from lullwort.standing import Repeat


def repeat(name: str, points: list[float], **traits: Any) -> Repeat:
    batch = Batch(vessel="north", name=name, pitched_us=0)
    judged = judge(batch, VesselReadings.of(()), as_of_us=len(points) * HOUR_US)
    course = [CourseHour((h + 1) * HOUR_US, value, 20.0) for h, value in enumerate(points)]
    return Repeat(batch, judged, course, Traits(**traits))


def drawn(*repeats: Repeat, units: Units | None = None) -> Any:
    *earlier, asked = repeats
    return drawn_courses(Beside(asked, earlier, Likeness((), runs=True, warmer_k=0.0)), units or Units())


def test_wild_hours_do_not_set_the_scale() -> None:
    (course,) = drawn(repeat("a", [50.0] * 30 + [0.0, 90.0] + [12.0] * 30))
    assert [course.gravity.min(), course.gravity.max()] == pytest.approx([1.012, 1.050])
    assert course.days[[0, -1]] == pytest.approx([1.0 / 24.0, 62.0 / 24.0])


def test_it_goes_on_for_two_days_after_the_last_of_them_was_ready() -> None:
    long_ago = repeat("a", [12.0] * 800, ready_h=Known(150.0, 20.0))
    assert [c.days[-1] for c in drawn(long_ago, repeat("b", [50.0] * 30))] == pytest.approx([198.0 / 24.0, 30.0 / 24.0])
    running = repeat("b", [50.0] * 400)
    assert [c.days[-1] for c in drawn(long_ago, running)] == pytest.approx([400.0 / 24.0] * 2)


def test_gravity_is_that_of_the_brewer_and_a_batch_without_any_is_left_out() -> None:
    (course,) = drawn(repeat("a", []), repeat("b", [50.0] * 9), units=Units(gravity="plato"))
    assert course.name == "b"
    assert np.allclose(course.gravity, from_sg(1.050, "plato"))
