from __future__ import annotations

import numpy as np
import pytest

from lullwort.rehearsal.family import FAMILIES, Family
from lullwort.rehearsal.later_fall import LaterFall, LaterKind, later_progress

SINCE_H = np.arange(-50.0, 4000.0)
TAU_H = 40.0
KINDS: tuple[LaterKind, ...] = ("hop creep", "addition", "intruder")


def fall(kind: LaterKind) -> LaterFall:
    return LaterFall(kind=kind, at_h=0.0, points=6.0, delay_h=0.0, tau_h=TAU_H)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("family", FAMILIES)
def test_a_later_fall_starts_after_its_delay_never_goes_back_and_ends_at_all_of_it(
    kind: LaterKind, family: Family
) -> None:
    gone = later_progress(fall(kind), SINCE_H, family)
    assert gone[SINCE_H <= 0.0].max() == 0.0
    assert np.diff(gone).min() >= 0.0
    assert 0.999 < gone[-1] <= 1.0


@pytest.mark.parametrize("kind", KINDS)
def test_the_third_family_takes_about_as_long_in_another_form(kind: LaterKind) -> None:
    first, third = (later_progress(fall(kind), SINCE_H, family) for family in ("tail", "vigour"))
    half_h = [float(np.interp(0.5, gone, SINCE_H)) for gone in (first, third)]
    assert half_h[0] == pytest.approx(half_h[1], rel=0.35)
    assert np.abs(first - third).max() > 0.05


def test_the_third_family_s_creep_slows_down_as_a_power_and_its_sugar_goes_at_one_speed() -> None:
    # hop creep by 1 - (1 + t / 3)^-2, so that the root of 1 / left rises in a straight line
    late = SINCE_H > 10.0 * TAU_H
    root = (1.0 - later_progress(fall("hop creep"), SINCE_H, "vigour")[late]) ** -0.5
    assert np.ptp(np.diff(root)) < 0.01 * np.diff(root).mean()
    sugar = later_progress(fall("addition"), SINCE_H, "vigour")
    hourly = np.diff(sugar)[(sugar[:-1] > 0.15) & (sugar[:-1] < 0.5)]
    assert hourly.min() > 0.75 * hourly.max()
