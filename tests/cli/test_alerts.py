"""`lullwort alerts`: what stands, what was told lately, and what somebody has seen of it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from lullwort.cellarbook import open_book
from lullwort.records import Alert, Batch

if TYPE_CHECKING:
    from tests.cli.conftest import Shell

READY = Alert(
    kind="ready", about="north-12", on=True, at_us=0, batch="north-12", vessel="north", urgent=True,
    title="READY TO PACKAGE: north-12", says="It may be packaged.\nBottle it.", data={"points_left": 0.2},
)  # fmt: skip
OVER = Alert(kind="ready", about="old-1", on=True, at_us=0, batch="old-1", title="READY: old-1", says="It may be.")
FLAT = Alert(kind="battery low", about="float", on=True, at_us=0, sensor="float", vessel="old", title="Low", says="!")
FULL = Alert(kind="storage nearly full", about="", on=True, at_us=5, title="The disk is nearly full", says="Room!")


@pytest.fixture
def told(lullwort: Shell) -> Shell:
    with open_book(lullwort.folder / "cellar.book") as book:
        book.batches.put(Batch(vessel="north", name="north-12", pitched_us=0))
        book.batches.put(Batch(vessel="old", name="old-1", pitched_us=0, packaged_us=1))
        book.outbox.put([READY, OVER, FLAT], ["push", "broker"], 3_600_000_000)
        book.outbox.put([FULL], [], 3_600_000_000)
        book.outbox.delivered(READY, "push", 7_200_000_000)
        book.outbox.failed(READY, "broker", "the broker did not take it", 10_800_000_000)
        book.outbox.forget_targets(["push"])
    return lullwort


def test_those_that_stand_come_first_and_none_of_beer_that_is_packaged(told: Shell) -> None:
    out = told("alerts", "--zone", "UTC").stdout
    standing, lately = out.split("Lately, newest first:\n")
    lines = standing.splitlines()
    assert lines.pop(0).startswith("Shown here only: no alert leaves this machine. To be told elsewhere, set push_file")
    assert lines[0] == "Standing:"
    assert lines[1].endswith("  Thu 1 Jan 1970 00:00 UTC  The disk is nearly full (not seen yet)")
    assert lines[2] == "    Room!"
    assert "READY TO PACKAGE: north-12 (not seen yet)" in standing
    assert "push: delivered Thu 1 Jan 1970 02:00 UTC" in standing
    assert "broker: given up (no longer among the targets)" in standing
    assert "old-1" not in standing
    assert "Low" not in standing
    assert "READY: old-1" in lately


def test_where_somebody_is_told_it_is_not_said_that_nobody_is(told: Shell) -> None:
    settings = told.folder / "own.toml"
    settings.write_text("[broker]\n")
    assert "Shown here only" in told("alerts").stdout
    assert "Shown here only" not in told("alerts", env={"LULLWORT_SETTINGS": str(settings)}).stdout


def test_what_is_said_to_be_seen_is_so_in_the_document(told: Shell) -> None:
    document = json.loads(told("alerts", "--json").stdout)
    assert [one["title"] for one in document["standing"]] == ["The disk is nearly full", "READY TO PACKAGE: north-12"]
    ready = document["standing"][1]
    assert list(ready) == [
        "name", "kind", "about", "on", "at", "vessel", "batch", "sensor", "urgent", "title", "says", "data", "seen_at",
        "deliveries",
    ]  # fmt: skip
    assert (ready["seen_at"], ready["sensor"], ready["data"]) == (None, None, {"points_left": 0.2})
    assert ready["deliveries"][1] == {
        "target": "push", "tries": 1, "delivered_at": "1970-01-01T02:00:00Z", "next_at": None, "error": "",
    }  # fmt: skip
    said = told("alerts", "--seen", ready["name"][:7]).stdout
    assert said.startswith(f"{ready['name']} READY TO PACKAGE: north-12: seen ")
    after = json.loads(told("alerts", "--json", "--last", "1").stdout)
    assert after["standing"][1]["seen_at"] is not None
    assert after["standing"][0]["seen_at"] is None
    assert len(after["recent"]) == 1
    assert "(seen " in told("alerts").stdout


def test_an_alert_that_nobody_knows_is_refused(told: Shell, tmp_path: Path) -> None:
    assert "no alert is called '00zz'" in told("alerts", "--seen", "00zz", exits=1).stderr
    with open_book(tmp_path / "empty.book"):
        pass
    assert told("alerts", "--book", "empty.book").stdout.endswith("\nNo alerts.\nNothing was ever told.\n")
