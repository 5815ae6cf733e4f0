"""What is written can be read back as it was."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import get_args

import msgspec
import pytest

from lullwort.collector import Mapping, open_log, propose_mapping, read_batches_file
from lullwort.detector import judge
from lullwort.errors import UsageError
from lullwort.records import HOUR_US, Reading, VesselReadings
from lullwort.rehearsal import Family, Invented, batches_toml, csv_text, invent, renamed
from lullwort.science import to_sg

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"


@pytest.mark.parametrize("kind", ["plain ale", "hop creep", "sugar or fruit added", "poorly fermentable", "cold stall"])
def test_a_batches_file_reads_back_as_the_batch(kind: str, tmp_path: Path) -> None:
    of = invent(kind, 3)
    path = tmp_path / "batches.toml"
    path.write_text(batches_toml(of), encoding="utf-8")
    assert read_batches_file(path) == [of.batch]


@pytest.mark.parametrize("kind", ["plain ale", "outliers and garbage", "coarse steps", "repeated and late rows"])
def test_a_readings_file_reads_back_as_its_readings(kind: str, tmp_path: Path) -> None:
    of = invent(kind, 3)
    path = tmp_path / "log.csv"
    path.write_text(csv_text(of), encoding="utf-8")
    with open_log(path, Mapping()) as log:
        taken = list(log.blocks())
    read = [
        row
        for block, _ in taken
        for row in zip(block.at_us.tolist(), block.gravity.tolist(), block.temperature.tolist(), strict=True)
    ]
    lines = {bad.line for _, set_aside in taken for bad in set_aside}
    sent = [(r.at_us, r.gravity, r.temperature_c) for line, r in enumerate(of.readings, start=2) if line not in lines]
    assert read == sent
    assert len(lines) < 0.05 * len(of.readings)


@pytest.mark.no_cover
@pytest.mark.parametrize("seed", range(1, 9))
@pytest.mark.parametrize("family", get_args(Family))
def test_a_log_whose_dates_fit_twice_is_asked_about_and_then_reads_back(
    seed: int, family: Family, tmp_path: Path
) -> None:
    of = invent("dates that fit twice", seed, family=family)
    form = of.log_form
    assert form is not None
    path = tmp_path / "log.csv"
    path.write_text(csv_text(of), encoding="utf-8")
    asked = propose_mapping(path, Mapping())
    assert {"times", "zone", "vessel"} <= {doubt.field for doubt in asked.doubts}
    assert "--times dmy or --times mdy" in " ".join(map(str, asked.doubts))
    for role, unit in (("gravity", form.gravity), ("temperature", form.temperature)):
        asks = [doubt for doubt in asked.doubts if doubt.field == role]
        states = [said for said in asked.found if said.startswith(role)]
        assert len(asks) + len(states) == 1
        # What is concluded is right, and what is asked offers it.
        assert getattr(asked.mapping, role) == unit if states else unit in asks[0].options
    assert (asked.mapping.decimal == "comma") is form.decimal_comma

    all_but_the_order = Mapping(
        vessel=of.batch.vessel, zone="UTC", gravity=form.gravity, temperature=form.temperature,
        decimal="comma" if form.decimal_comma else "point",
    )  # fmt: skip
    with pytest.raises(UsageError, match="--times"), open_log(path, all_but_the_order):
        pass
    settled = propose_mapping(path, msgspec.structs.replace(all_but_the_order, times=form.order))
    assert settled.doubts == ()
    with open_log(path, settled.mapping) as log:
        ((block, set_aside),) = log.blocks()
    assert set_aside == []
    assert block.at_us.tolist() == [r.at_us for r in of.readings]
    assert to_sg(block.gravity, form.gravity) == pytest.approx([r.gravity for r in of.readings], abs=1e-4)


def test_a_value_that_was_not_sent_stays_empty(make_invented: Callable[..., Invented]) -> None:
    start = make_invented([10.0]).batch.pitched_us
    log = [Reading("north", "north", start, None, 20.0), Reading("north", "north", start + HOUR_US, 1.01, None)]
    assert csv_text(make_invented([10.0], readings=log)) == (
        "time,vessel,gravity,temperature\n2026-03-02T09:00:00Z,north,,20.0\n2026-03-02T10:00:00Z,north,1.0100,\n"
    )


def test_what_the_brewer_did_not_enter_is_not_written(make_invented: Callable[..., Invented]) -> None:
    (entry,) = tomllib.loads(batches_toml(make_invented([10.0], expected=None)))["batch"]
    assert entry.keys() == {"vessel", "name", "pitched", "original_gravity", "gravity_reported", "reference_c"}
    assert entry["original_gravity"] == 1.050


def test_the_demo_is_exactly_what_the_code_makes_and_ends_ready() -> None:
    north = renamed(invent("plain ale", 6), "north", "north-12")
    assert (DEMO / "north.csv").read_text(encoding="utf-8") == csv_text(north)
    assert (DEMO / "north.toml").read_text(encoding="utf-8") == batches_toml(north)
    assert (DEMO / "north.csv").stat().st_size < 60_000
    last = judge(north.batch, VesselReadings.of(north.readings)).history[-1]
    assert last.verdict == "ready"
    assert north.hour_of(last.at_us) > (north.oracle_hour() or 0.0)
