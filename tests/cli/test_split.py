"""Two batches in one log: what is offered can be typed as it stands, and makes it right. All invented."""

from __future__ import annotations

import json
import re
import shlex
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from lullwort.cli.shownunits import local_time
from lullwort.records import HOUR_US, parse_instant
from lullwort.rehearsal import Invented, batches_toml, csv_text, invent, renamed, shifted
from lullwort.settings import Settings

if TYPE_CHECKING:
    from tests.cli.conftest import Shell


SETTINGS = Settings(Path("b"), "sg", "C", None)


def begins_us(first: Invented, gap_h: int) -> int:
    return (max(r.at_us for r in first.readings) // HOUR_US + 1 + gap_h) * HOUR_US


@pytest.fixture
def two_in_one(lullwort: Shell, north: Invented) -> Shell:
    second = renamed(invent("plain ale", 9), "north", "north-13")
    second = shifted(second, begins_us(north, 30) - second.batch.pitched_us)
    lullwort.write("north.csv", csv_text(north) + "".join(csv_text(second).splitlines(keepends=True)[1:]))
    lullwort.write("north.toml", batches_toml(north))
    return lullwort


def vessels(shown: str) -> list[dict[str, Any]]:
    listed: list[dict[str, Any]] = json.loads(shown)["vessels"]
    return listed


def half_way(shell: Shell, packaged: str) -> None:
    """Only the earlier batch has been closed: of the readings after it, it is said that they belong to none."""
    says = (
        f"The log of north goes on after {local_time(parse_instant(packaged), SETTINGS)} without a batch: open it with"
    )
    for command in ("verdict", "why"):
        shown = shell(command, "north").stdout
        assert says in " ".join(shown.split())
        assert "\n  lullwort batch open north --pitched TIME\n" in shown
    (closed,) = vessels(shell("verdict", "--json").stdout)
    assert (closed["verdict"], closed["without_batch_after"]) == ("packaged", packaged)
    (then,) = vessels(shell("verdict", "--as-of", packaged, "--json").stdout)
    assert then["without_batch_after"] is None


@pytest.mark.no_cover
def test_the_commands_that_are_offered_take_the_two_apart_as_they_stand(two_in_one: Shell, north: Invented) -> None:
    (mixed,) = vessels(two_in_one("backfill", "north.csv", "--batches", "north.toml", "--json").stdout)
    assert (mixed["verdict"], mixed["abv"], mixed["points_left"]) == ("unclear", None, None)
    assert "Another batch seems to have begun" in mixed["reason"]
    split = mixed["split"]
    assert split["gravity_to"] - split["gravity_from"] > 0.02
    text = two_in_one("verdict", "north").stdout
    offered = re.findall(r"^  (lullwort batch.*)$", text, re.MULTILINE)
    assert offered == split["commands"]
    at_a_narrow_one = two_in_one.at_terminal(40, "verdict", "north")
    assert {f"  {command}" for command in offered} <= set(at_a_narrow_one)
    # What is left of a command that was copied in halves must not close the batch at this moment.
    assert "is of 2026-" in two_in_one("batch", "close", f"batch:{north.batch.name}", exits=2).stderr
    assert "Sealed now" not in text
    assert "Strength so far" not in text
    for nth, command in enumerate(offered):
        if nth:
            half_way(two_in_one, split["earlier_until"])
        _, *words = shlex.split(command)
        two_in_one(*words)
    earlier, later = vessels(two_in_one("verdict", "--all", "--json").stdout)
    assert (earlier["without_batch_after"], later["without_batch_after"]) == (None, None)
    assert (earlier["batch"], earlier["verdict"], earlier["split"]) == (north.batch.name, "packaged", None)
    assert [change["verdict"] for change in earlier["history"]][-2:] == ["ready", "packaged"]
    # Nothing was said of what to expect of it, so only the sensor's own start can tell.
    assert (later["verdict"], later["split"]) == ("ready", None)
    assert [change["verdict"] for change in later["history"]][:2] == ["lag", "fermenting"]


def test_a_batch_is_closed_as_of_now_only_where_its_log_goes_on_to_now_and_is_its_own(
    lullwort: Shell, north: Invented
) -> None:
    refilled = renamed(invent("plain ale", 9), "north", "north-13")
    refilled = shifted(refilled, begins_us(north, 30) - refilled.batch.pitched_us)
    both = replace(north, readings=[*north.readings, *refilled.readings[:200]])
    now_us = time.time_ns() // 1000
    for invented, vessel in ((both, "north"), (north, "south")):
        recent = renamed(shifted(invented, now_us - invented.newest_us), vessel, f"{vessel}-12")
        lullwort.write(f"{vessel}.csv", csv_text(recent))
        lullwort.write(f"{vessel}.toml", batches_toml(recent))
        lullwort("backfill", f"{vessel}.csv", "--batches", f"{vessel}.toml", "--store-only")
    refused = lullwort("batch", "close", "batch:north-12", exits=2).stderr
    assert "another batch seems to have begun in vessel 'north'" in refused
    assert "--packaged TIME" in refused
    assert "packaged" in lullwort("batch", "close", "south").stdout
    assert "packaged" in lullwort("batch", "close", "north", "--packaged", "now").stdout
