"""Lines, bands and strokes keep the smallest and the largest value of each pixel."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.exporting import Panel, band, extremes, line, strokes

PANEL = Panel(0.0, 60.0, 10.0, 110.0, -1000.0, 1000.0)
values = st.lists(st.tuples(st.floats(0.0, 50.0), st.floats(-1e3, 1e3)), min_size=1, max_size=80)


Strokes = list[list[tuple[float, float]]]


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(0.0, 50.0), st.floats(-1e3, 1e3)), max_size=80))
def test_no_peak_is_lost_however_many_values_share_a_pixel(points: list[tuple[float, float]]) -> None:
    x, y = np.array(points).reshape(-1, 2).T
    kept = extremes(x, y)
    assert [pixel for pixel, _, _ in kept] == sorted({math.floor(at) for at in x})
    for pixel, least, most in kept:
        within = y[np.floor(x) == pixel]
        assert (least, most) == (within.min(), within.max())


@settings(deadline=None)
@given(points=values)
def test_strokes_lines_and_bands_reach_from_the_smallest_to_the_largest(
    drawn_points: Callable[[str], Strokes], points: list[tuple[float, float]]
) -> None:
    def of(svg: str) -> Strokes:
        (path,) = re.findall(r' d="([^"]+)"', svg)
        return drawn_points(path)

    x, y = np.array(sorted(points)).T
    drawn = of(strokes(x, y, PANEL, "raw"))
    upper = {round(at, 3): top for (at, top), _ in drawn}
    lower = {round(at, 3): low for _, (at, low) in drawn}
    lined, banded = (
        [(round(at, 3), each) for at, each in of(svg)[0]]
        for svg in (line(x, y, PANEL, "line"), band(x, y - 1.0, y + 1.0, PANEL, "band"))
    )
    for pixel, least, most in extremes(x, y):
        at = pixel + 0.5
        top, bottom = PANEL.y(most), PANEL.y(least)
        assert abs(upper[at] - top) <= 0.051
        assert abs(lower[at] - bottom) <= 0.051
        for found in (lined, banded):
            ys = [each for place, each in found if place == at]
            assert min(ys) <= top + 0.051
            assert max(ys) >= bottom - 0.051
    assert len(lined) <= 2 * len(drawn)


def test_what_lies_beyond_the_panel_stands_at_its_edge() -> None:
    assert PANEL.y(5000.0) == 10.0
    assert PANEL.ys(np.array([-5000.0, 0.0])).tolist() == [110.0, 60.0]
    assert strokes(np.zeros(0), np.zeros(0), PANEL, "raw") == ""
