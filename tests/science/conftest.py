"""Published tables for the tests of the formulas, read from fixtures/published/."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from lullwort.units import FloatArray

PUBLISHED = Path(__file__).parents[2] / "fixtures" / "published"


def _number(cell: str) -> float:
    try:
        return float(cell)
    except ValueError:
        return float("nan")


@pytest.fixture(scope="session")
def published() -> Callable[[str], dict[str, FloatArray]]:
    """The columns of a published table by name; NaN where a cell is empty or holds words."""

    def read(name: str) -> dict[str, FloatArray]:
        with (PUBLISHED / f"{name}.csv").open(newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        assert rows, name
        return {column: np.array([_number(row[column]) for row in rows]) for column in rows[0]}

    return read


@pytest.fixture(scope="session")
def published_rows() -> Callable[[str], list[dict[str, str]]]:
    """The rows of a published table as they are printed."""

    def read(name: str) -> list[dict[str, str]]:
        with (PUBLISHED / f"{name}.csv").open(newline="", encoding="utf-8") as file:
            return list(csv.DictReader(file))

    return read
