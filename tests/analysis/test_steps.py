from __future__ import annotations

import numpy as np
import pytest

from lullwort.analysis import LiftWatch, StepWatch


def told(*innovations: float) -> list[str | None]:
    watch = StepWatch()
    return [None if misfit is None else misfit.kind for misfit in map(watch.add, innovations)]


def test_what_lies_within_its_noise_fits() -> None:
    watch = StepWatch()
    assert watch.fits(4.0, 1.0)
    assert not watch.fits(5.0, 1.0)
    assert watch.fits(1.4, 0.0001), "a very quiet sensor may still move by a point"


def test_three_alike_on_one_side_are_a_bump() -> None:
    assert told(6.0, 6.2, 5.9) == [None, None, "bump"]


def test_three_that_grow_or_differ_in_sign_are_a_ramp() -> None:
    assert told(-2.0, -4.0, -6.0)[-1] == "ramp"
    assert told(6.0, -6.0, 6.0)[-1] == "ramp"


def test_what_rises_is_the_floats_however_unevenly() -> None:
    assert told(2.0, 4.0, 6.0)[-1] == "bump"


def test_a_lone_odd_one_is_forgotten_once_an_hour_fits() -> None:
    watch = StepWatch()
    watch.add(9.0)
    watch.add(9.0)
    assert watch.fits(0.5, 1.0)
    assert watch.add(9.0) is None


def hours_until_lifted(innovation_sds: float) -> int | None:
    watch = LiftWatch()
    return next((hour for hour in range(1, 100) if watch.add(innovation_sds)), None)


@pytest.mark.parametrize(("innovation_sds", "hours"), [(1.0, None), (1.5, 9), (2.0, 5), (4.0, 2), (50.0, 2)])
def test_what_lies_above_hour_after_hour_has_been_lifted_by_page_s_sum(
    innovation_sds: float, hours: int | None
) -> None:
    # [Page1954]: the sum of what exceeds the drift of 1, alarm above 4
    assert hours_until_lifted(innovation_sds) == hours


def test_noise_is_no_lift_and_what_sinks_is_none() -> None:
    watch, rng = LiftWatch(), np.random.default_rng(1)
    assert not any(watch.add(z) for z in rng.normal(0.0, 1.0, 400).tolist())
    assert not any(watch.add(-3.0) for _ in range(50))


def test_after_an_alarm_or_a_reset_it_counts_from_nothing() -> None:
    watch = LiftWatch()
    assert [watch.add(4.0) for _ in range(4)] == [False, True, False, True]
    watch.add(4.0)
    watch.reset()
    assert not watch.add(4.0)
