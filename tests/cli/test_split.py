"""Two batches in one log: what is offered can be typed as it stands, and makes it right. All invented."""

from __future__ import annotations

import json
import re
import shlex
from typing import TYPE_CHECKING, Any

import pytest

from lullwort.records import HOUR_US
from lullwort.rehearsal import Invented, batches_toml, csv_text, invent, renamed, shifted

if TYPE_CHECKING:
    from tests.cli.conftest import Shell


def begins_us(first: Invented, gap_h: int) -> int:
    return (max(r.at_us for r in first.readings) // HOUR_US + 1 + gap_h) * HOUR_US


@pytest.fixture
def two_in_one(lullwort: Shell, north: Invented) -> Shell:
    second = renamed(invent("plain ale", 9), "north", "north-13")
    second = shifted(second, begins_us(north, 30) - second.batch.pitched_us)
    lullwort.write("north.csv", csv_text(north) + "".join(csv_text(second).splitlines(keepends=True)[1:]))
    lullwort.write("north.toml", batches_toml(north))
    return lullwort.unmeasured()


def vessels(shown: str) -> list[dict[str, Any]]:
    listed: list[dict[str, Any]] = json.loads(shown)["vessels"]
    return listed


def test_the_commands_that_are_offered_take_the_two_apart_as_they_stand(two_in_one: Shell, north: Invented) -> None:
    (mixed,) = vessels(two_in_one("backfill", "north.csv", "--batches", "north.toml", "--json").stdout)
    assert (mixed["verdict"], mixed["abv"], mixed["points_left"]) == ("unclear", None, None)
    assert "Another batch seems to have begun" in mixed["reason"]
    split = mixed["split"]
    assert split["gravity_to"] - split["gravity_from"] > 0.02
    text = two_in_one("verdict", "north").stdout
    offered = re.findall(r"`(lullwort batch[^`]*)`", " ".join(text.split()))
    assert offered == split["commands"]
    assert "Sealed now" not in text
    assert "Strength so far" not in text
    for command in offered:
        _, *words = shlex.split(command)
        two_in_one(*words)
    earlier, later = vessels(two_in_one("verdict", "--all", "--json").stdout)
    assert (earlier["batch"], earlier["verdict"], earlier["split"]) == (north.batch.name, "packaged", None)
    assert [change["verdict"] for change in earlier["history"]][-2:] == ["ready", "packaged"]
    # Nothing was said of what to expect of it, so only the sensor's own start can tell.
    assert (later["verdict"], later["split"]) == ("ready", None)
    assert [change["verdict"] for change in later["history"]][:2] == ["lag", "fermenting"]
