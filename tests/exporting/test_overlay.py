"""Courses over each other as SVG: read by eye and by a screen reader, in light and in dark."""

from __future__ import annotations

from xml.etree import ElementTree

import numpy as np
import pytest

from lullwort.detector import Units
from lullwort.exporting import DrawnCourse, frame_of, overlay_svg, ticks

SVG = "{http://www.w3.org/2000/svg}"
DAYS = np.arange(0.0, 10.0, 0.25)


def course(name: str, end: float, days: float = 10.0) -> DrawnCourse:
    within = DAYS[days > DAYS]
    return DrawnCourse(name, within, end + 0.040 * np.exp(-within))


def drawn(name: str = "d", says: str = "Behaves as before.") -> ElementTree.Element:
    earlier = [course(earlier_name, 1.010) for earlier_name in "abc"]
    return ElementTree.fromstring(overlay_svg(course(name, 1.014, 5.0), earlier, f"{name} & its recipe", says, Units()))


def points_of(line: ElementTree.Element) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in (line.get("points") or "").split())]


def test_each_course_falls_from_left_to_right_within_the_frame_and_the_asked_one_ends_higher() -> None:
    *earlier, asked = [points_of(line) for line in drawn().iter(f"{SVG}polyline")]
    assert [len(points) for points in [*earlier, asked]] == [40, 40, 40, 20]
    for points in [*earlier, asked]:
        xs, ys = zip(*points, strict=True)
        assert list(xs) == sorted(xs)
        assert list(ys) == sorted(ys)  # down the page
        assert (min(xs), min(ys)) >= (80.0, 44.0)
        assert (max(xs), max(ys)) <= (740.0, 384.0)
    assert asked[-1][1] < earlier[0][19][1]


def test_the_asked_one_is_known_by_more_than_its_colour_and_each_other_by_its_dashes() -> None:
    lines = list(drawn().iter(f"{SVG}polyline"))
    assert [line.get("class") for line in lines] == ["line"] * 3 + ["line asked"]
    assert lines[-1].get("stroke-dasharray") is None
    assert len({line.get("stroke-dasharray") for line in lines[:-1]}) == 3
    style = "".join(drawn().find(f"{SVG}style").itertext())  # type: ignore[union-attr]
    assert ".asked{stroke:#b3261e;stroke-width:3.2}" in style
    assert "@media(prefers-color-scheme:dark)" in style


def test_it_has_a_title_and_says_what_it_shows_whatever_is_written_in_them() -> None:
    root = drawn('<b>"d"', 'Ends "higher" & later <than> they')
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert (title.text, desc.text) == ('<b>"d" & its recipe', 'Ends "higher" & later <than> they')
    words = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert {"a", "b", "c", '<b>"d"', "days since the pitch", "1.020", "8"} <= set(words)


@pytest.mark.parametrize(
    ("low", "high", "most", "expected"),
    [
        (0.0, 17.0, 6, [0.0, 5.0, 10.0, 15.0]), (1.0098, 1.0521, 6, [1.01, 1.02, 1.03, 1.04, 1.05]),
        (2.4, 13.1, 5, [5.0, 10.0]), (0.0, 1.0, 2, [0.0, 0.5, 1.0]), (-1.5, 3.0, 5, [-1.0, 0.0, 1.0, 2.0, 3.0]),
    ],
)  # fmt: skip
def test_ticks_are_round_and_few(low: float, high: float, most: int, expected: list[float]) -> None:
    assert ticks(low, high, most) == expected


def test_a_single_value_has_a_frame_too() -> None:
    one = DrawnCourse("a", np.array([0.1]), np.array([1.050]))
    assert frame_of([one], 3) == (1.0, 1.050, 1.051)
    assert (
        len(points_of(next(ElementTree.fromstring(overlay_svg(one, [], "t", "s", Units())).iter(f"{SVG}polyline"))))
        == 1
    )
