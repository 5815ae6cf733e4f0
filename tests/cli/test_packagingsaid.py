"""A container that does not bear what it is to hold is told of, in place."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.cli.packagingsaid import packaging_says, warn_of_container
from lullwort.detector import Units
from lullwort.records import CONTAINER_NAMES, ContainerName, PackagingDay
from lullwort.settings import Settings
from lullwort.units import co2_g_l_from_volumes

Shell = Any  # the fixture's class lives in conftest.py
SETTINGS = Settings(Path("b"), "sg", "C", None)


def warned(day: PackagingDay, capsys: pytest.CaptureFixture[str], settings: Settings = SETTINGS) -> str:
    warn_of_container(day, settings)
    return capsys.readouterr().err


@pytest.mark.parametrize(
    # What practice says that each bears; the lower end of its range. Common practice, no source.
    ("container", "bears"),
    [
        ("brown-glass", 3.0), ("reused-glass", 2.5), ("thick-glass", 4.0), ("sparkling-wine", 6.0), ("plastic", 4.0),
        ("keg", 6.0),
    ],
)  # fmt: skip
def test_more_than_a_container_bears_is_told_and_less_is_not(
    container: ContainerName, bears: float, capsys: pytest.CaptureFixture[str]
) -> None:
    for volumes, is_told in ((bears - 0.1, False), (bears + 0.1, True)):
        said = warned(PackagingDay(target_g_l=co2_g_l_from_volumes(volumes), container=container), capsys)
        assert bool(said) == is_told
        assert ("Bottles can burst." in said) == is_told


def test_nothing_may_ferment_in_a_growler_whatever_the_target(capsys: pytest.CaptureFixture[str]) -> None:
    for target in (None, 1.0, 4.7):
        said = warned(PackagingDay(target_g_l=target, container="growler"), capsys)
        assert said.startswith("In a growler nothing may ferment")


def test_the_makers_limit_outranks_that_of_the_kind(capsys: pytest.CaptureFixture[str]) -> None:
    strong = PackagingDay(target_g_l=co2_g_l_from_volumes(4.0), container="brown-glass", limit_bar=6.0)
    assert warned(strong, capsys) == ""
    weak = PackagingDay(target_g_l=co2_g_l_from_volumes(2.4), container="keg", limit_bar=1.0)
    settings = Settings(Path("b"), "sg", "F", None, decimal="comma", carbonation="g/L", pressure="psi")
    # The air that is shut in counts beside a maker's limit, and beer that takes up less in a full bottle.
    too_much = "4,7 g/L of CO2 and the air shut in with it make 42 psi at 68 °F, more than keg bears (15 psi)"
    assert too_much in warned(weak, capsys, settings)


def test_a_limit_counts_where_no_kind_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert "more than its container bears (1.0 bar)" in warned(PackagingDay(target_g_l=4.7, limit_bar=1.0), capsys)
    assert warned(PackagingDay(target_g_l=4.7, limit_bar=3.0), capsys) == ""


def test_where_nothing_is_known_nothing_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert warned(PackagingDay(), capsys) == ""
    assert warned(PackagingDay(target_g_l=4.7), capsys) == ""
    assert warned(PackagingDay(container="brown-glass"), capsys) == ""


def test_where_no_container_is_named_the_usual_bottles_are_taken(capsys: pytest.CaptureFixture[str]) -> None:
    said = warned(PackagingDay(target_g_l=co2_g_l_from_volumes(6.0)), capsys)
    assert "more than ordinary brown bottles bear (2.4 bar; they are taken, for no container is named)" in said
    assert warned(PackagingDay(target_g_l=co2_g_l_from_volumes(2.4)), capsys) == ""


@pytest.fixture
def ready(stored: Shell) -> Shell:
    stored("batch", "edit", "north-12", "--priming-sugar", "sucrose", "--container", "brown-glass", "--moved", "17L")
    return stored


COMES_TO = re.compile(
    r"about (2\.\d), at most (2\.\d) volumes and (\d\.\d) bar at 20 °C; ordinary brown bottles bear 2.4 bar"
)


def test_what_priming_comes_to_is_told_when_it_is_entered_as_sealed_has_it(ready: Shell) -> None:
    found = COMES_TO.search(ready("batch", "edit", "north", "--primed", "100g").stdout)
    assert found is not None
    sealing = json.loads(ready("sealed", "north", "--json").stdout)["primed"]
    assert [float(found[1]), float(found[2])] == [round(sealing["volumes"][of], 1) for of in ("value", "upper")]
    (room,) = (row for row in sealing["temperatures"] if row["temp_c"] == 20.0)
    assert float(found[3]) == round(room["gauge_bar"]["upper"], 1)
    closed = ready("batch", "close", "north", "--packaged", "2026-08-06T06:00Z", "--primed", "100g")
    assert COMES_TO.search(closed.stdout)
    assert "DANGER" not in closed.stderr


def test_too_much_priming_is_a_danger_when_it_is_entered(ready: Shell) -> None:
    for words in (("edit", "north"), ("close", "north", "--packaged", "2026-08-06T06:00Z")):
        err = ready("batch", *words, "--primed", "206g").stderr
        assert "DANGER: the priming comes to about 3.9, at most 4.2 volumes and 4.0 bar" in err
        assert "handle it only with eyes and hands covered" in err
    ready("batch", "edit", "north-12", "--container", "growler")
    again = ready("batch", "edit", "north-12", "--primed", "100g").stderr
    assert again.startswith("In a growler nothing may ferment")


def test_of_a_beer_that_ferments_nobody_knows_what_priming_comes_to(ready: Shell) -> None:
    early = ready("batch", "close", "north", "--packaged", "2026-07-20T06:00Z", "--primed", "100g")
    assert "comes to" in early.stderr
    assert "It was not proved that this beer had ended" in early.stderr


def test_a_limit_alone_is_told_as_one() -> None:
    assert packaging_says(PackagingDay(limit_bar=3.0, primed_g=118.0, sugar="honey"), Units()) == [
        "container bears 3.0 bar", "primed with 118 g of honey",
    ]  # fmt: skip
    assert packaging_says(PackagingDay(), Units()) == []


@given(st.floats(1.0, 14.0), st.sampled_from(CONTAINER_NAMES))
def test_the_marks_differ_in_nothing_else(target: float, container: ContainerName) -> None:
    day = PackagingDay(target_g_l=target, container=container, losses_l=target, limit_bar=target, moved_l=10 * target)
    point, comma = (", ".join(packaging_says(day, Units(decimal=mark))) for mark in ("point", "comma"))
    assert ".".join(comma.replace(", ", "; ").split(",")).replace("; ", ", ") == point
