from __future__ import annotations

from lullwort.analysis import StepWatch


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
    watch.settle()
    assert watch.add(9.0) is None
