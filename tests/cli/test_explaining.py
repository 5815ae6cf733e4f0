from __future__ import annotations

import importlib
import json
import pkgutil
import re
from pathlib import Path
from typing import Any

import pytest

import lullwort
from lullwort.cli.explaining import say_explained
from lullwort.explained import COMMON_PRACTICE, OURS, Explained

Shell = Any  # the fixture's class lives in conftest.py

FIGURE = Explained("correction", "0.001 x (F - 60.5) / 10 over the first 12. of all", "Notice226 3.3")


def test_the_numbers_of_a_formula_have_the_readers_mark_and_its_source_stays(
    capsys: pytest.CaptureFixture[str],
) -> None:
    say_explained([FIGURE, FIGURE], "comma")
    said = capsys.readouterr().out
    assert said.count("correction: 0,001 x (F - 60,5) / 10 over the first 12. of all. Source: Notice226 3.3.") == 1
    say_explained([FIGURE])
    assert "0.001 x (F - 60.5)" in capsys.readouterr().out


def every_figure() -> list[Explained]:
    """All that is explained anywhere: the constants that stand beside the formulas, and those of a verdict."""
    found: list[Explained] = []
    for module in pkgutil.walk_packages(lullwort.__path__, "lullwort."):
        if "__main__" in module.name:
            continue
        for value in vars(importlib.import_module(module.name)).values():
            several = list(value.values()) if isinstance(value, dict) else value
            together = [value, *several] if isinstance(several, list | tuple) else [value]
            found += [each for each in together if isinstance(each, Explained)]
    return list(dict.fromkeys(found))


def test_each_figure_has_a_formula_and_a_source_that_can_be_looked_up() -> None:
    sources = (Path(__file__).parents[2] / "fixtures" / "published" / "SOURCES.md").read_text(encoding="utf-8")
    keys = set(re.findall(r"^\| (\w+) \|", sources, re.MULTILINE))
    figures = every_figure()
    assert len(figures) > 40
    for figure in figures:
        assert figure.figure
        assert len(figure.formula) > 10
        looks_like_keys = set(re.findall(r"\b[A-Z][A-Za-z]+[0-9]{2,4}\b", figure.source))
        assert looks_like_keys <= keys, figure
        named = any(re.search(rf"\b{key}\b", figure.source) for key in keys)
        assert named or any(own in figure.source for own in (COMMON_PRACTICE, OURS, "least squares")), figure


@pytest.mark.parametrize("words", [("verdict", "north"), ("why", "north")])
def test_a_verdict_can_be_asked_how_its_figures_come_about(logged: Shell, words: tuple[str, ...]) -> None:
    logged("backfill", "north.csv", "--batches", "north.toml")
    assert "How these figures come about" not in logged(*words).stdout
    told = logged(*words, "--explain").stdout
    assert "points left: slope x time constant of the tail" in told
    assert "Balling1865" in told
    explained = json.loads(logged(*words, "--explain", "--json").stdout)["explained"]
    assert {"figure", "formula", "source"} == set(explained[0])
    assert "explained" not in json.loads(logged(*words, "--json").stdout)


def test_a_verdict_by_hand_explains_how_samples_tell(logged: Shell) -> None:
    logged("batch", "open", "tub", "--pitched", "2026-05-01T12:00Z", "--original-gravity", "1.050")
    logged("note", "tub", "sample", "--at", "2026-05-09T12:00Z", "--gravity-read", "1.011", "--temperature-read", "20C")
    told = logged("verdict", "tub", "--explain").stdout
    assert "two-day rule: the same reading" in told
    assert "8192 falls" in told
    assert "slope x time constant" not in told
