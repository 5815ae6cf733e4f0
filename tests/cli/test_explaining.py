from __future__ import annotations

import pytest

from lullwort.cli.explaining import say_explained
from lullwort.explained import Explained

FIGURE = Explained("correction", "0.001 x (F - 60.5) / 10 over the first 12. of all", "Notice226 3.3")


def test_the_numbers_of_a_formula_have_the_readers_mark_and_its_source_stays(
    capsys: pytest.CaptureFixture[str],
) -> None:
    say_explained([FIGURE, FIGURE], "comma")
    said = capsys.readouterr().out
    assert said.count("correction: 0,001 x (F - 60,5) / 10 over the first 12. of all. Source: Notice226 3.3.") == 1
    say_explained([FIGURE])
    assert "0.001 x (F - 60.5)" in capsys.readouterr().out
