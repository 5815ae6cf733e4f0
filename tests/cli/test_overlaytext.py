"""Courses over each other in letters."""

from __future__ import annotations

import numpy as np
import pytest

from lullwort.cli.overlaytext import overlay_text
from lullwort.detector import Units
from lullwort.exporting import DrawnCourse

DAYS = np.arange(0.0, 8.0, 1.0 / 24.0)
STEEP = DrawnCourse("steep", DAYS, 1.010 + 0.040 * np.exp(-2.0 * DAYS))
SLOW = DrawnCourse("slow", DAYS, 1.010 + 0.040 * np.exp(-0.5 * DAYS))


@pytest.mark.parametrize("width", [30, 36, 76, 100])
def test_it_fits_and_holds_both_courses_in_plain_letters(width: int) -> None:
    lines = overlay_text([("a", STEEP), ("#", SLOW)], width, Units())
    assert max(map(len, lines)) <= width
    assert "".join(lines).isascii()
    for column in range(lines[0].index("|") + 4, width - 12, 5):
        drawn = [(row, line[column]) for row, line in enumerate(lines[:16]) if line[column : column + 1] in ("a", "#")]
        assert [letter for _, letter in drawn] == ["#", "a"]  # the slow one lies higher all the way
    assert lines[-2].split()[0] == "0"
    assert lines[-1].strip() == "days since the pitch"


def test_where_courses_meet_the_last_one_is_seen() -> None:
    lines = overlay_text(
        [("a", STEEP), ("b", STEEP), ("#", STEEP._replace(days=STEEP.days[:24], gravity=STEEP.gravity[:24]))],
        60,
        Units(),
    )
    text = "".join(lines[:16])
    assert "a" not in text
    assert text.index("#") < text.index("b")
    assert text.count("b") > 40


def test_the_axis_shows_the_gravity_where_it_was_drawn() -> None:
    level = DrawnCourse("level", DAYS, np.where(DAYS < 4.02, 1.050, 1.010))
    lines = overlay_text([("#", level)], 60, Units())
    by_label = {line.split("|")[0].strip(): line.count("#") for line in lines[:16] if "#" in line}
    assert {label for label, count in by_label.items() if count > 1} == {"1.050", "1.010"}
    assert lines[0].rstrip().endswith("#")
    assert lines[0].count("#") == pytest.approx(lines[15].count("#"), abs=1)
    plato = overlay_text([("#", level._replace(gravity=np.where(DAYS < 4.02, 12.4, 2.5)))], 60, Units("plato"))
    assert "10.0 |" in "".join(plato)
