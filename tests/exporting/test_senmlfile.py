"""A pack is SenML as RFC 8428 has it: base names, registered units, absolute times."""

from __future__ import annotations

import json
import math
import re
from decimal import Decimal
from pathlib import Path
from typing import Any

from lullwort.exporting import write_senml

Runs = Any  # the fixture's class lives in conftest.py

NAN = math.nan
AT = 1_784_419_200_000_001


def resolved(path: Path) -> list[tuple[str, Decimal, str | None, Decimal | str]]:
    """(name, time, unit, value) of each record, resolved by section 4.6 of RFC 8428, for the labels we write."""
    pack = json.loads(path.read_text(encoding="utf-8"), parse_float=Decimal, parse_int=Decimal)
    base, found = "", []
    for record in pack:
        assert record.keys() <= {"bn", "n", "u", "v", "vs", "t"}
        assert ("v" in record) != ("vs" in record)
        base = record.get("bn", base)
        name = base + record["n"]
        assert re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9:./_-]*", name)
        assert record["t"] >= 2**28
        found.append((name, record["t"], record.get("u"), record.get("v", record.get("vs"))))
    return found


def test_a_report_is_its_quantities_in_registered_units(tmp_path: Path, runs: Runs) -> None:
    path = tmp_path / "out.senml"
    own = runs.block(
        [(AT, "north", 1.0525, 20.3, 45.0, 3.91, -71.3), (AT + 999_999, "north", NAN, 1e-5, NAN, NAN, NAN)], "north"
    )
    assert write_senml(path, [own]) == ("2 readings", ())
    t = Decimal("1784419200.000001")
    assert resolved(path) == [
        ("north:gravity", t, "/", Decimal("1.0525")),
        ("north:temperature", t, "Cel", Decimal("20.3")),
        ("north:inclination", t, "rad", Decimal(repr(math.pi / 4))),
        ("north:battery", t, "V", Decimal("3.91")),
        # RFC 8798: dBm is dBW, scale 1, offset -30.
        ("north:signal", t, "dBW", Decimal("-101.3")),
        ("north:temperature", Decimal("1784419201"), "Cel", Decimal("0.00001")),
    ]
    # The mantissa SHOULD have fewer than 19 characters, and the exponent letter must be small (RFC 8428, 4.3).
    numbers = re.findall(r'"[vt]":([^,}]+)', path.read_text())
    assert all(len(number.split("e")[0]) < 19 and "E" not in number for number in numbers)


def test_a_vessel_that_is_not_called_like_its_sensor_is_named_first(tmp_path: Path, runs: Runs) -> None:
    path = tmp_path / "out.senml"
    blocks = [
        runs.block([(AT, "north", 1.05, NAN, NAN, NAN, NAN)], "float-1"),
        runs.block([(AT, "north", 1.04, NAN, NAN, NAN, NAN)], "north"),
    ]
    write_senml(path, blocks)
    assert [(name, value) for name, _, _, value in resolved(path)] == [
        ("float-1:vessel", "north"), ("float-1:gravity", Decimal("1.05")), ("north:gravity", Decimal("1.04")),
    ]  # fmt: skip


def test_reports_of_one_instant_can_be_told_apart(tmp_path: Path, runs: Runs) -> None:
    path = tmp_path / "out.senml"
    rows = [(AT, "north", 1.05, NAN, NAN, NAN, NAN), (AT, "north", NAN, 20.0, NAN, NAN, NAN)]
    write_senml(path, [runs.block([*rows, (AT + 1, "north", 1.05, NAN, NAN, NAN, NAN)], "north")])
    assert [name for name, *_ in resolved(path)] == [
        "north:vessel", "north:gravity", "north:vessel", "north:temperature", "north:gravity",
    ]  # fmt: skip


def test_a_battery_reported_in_both_units_is_in_one_report(tmp_path: Path, runs: Runs) -> None:
    path = tmp_path / "out.senml"
    volts = runs.block([(AT + i, "north", 1.05, NAN, NAN, 3.9, NAN) for i in range(3)], "north")
    percent = runs.in_percent(
        runs.block([(AT + 1, "north", NAN, NAN, NAN, 80.0, NAN), (AT + 5, "north", 1.05, NAN, NAN, 79.0, NAN)], "north")
    )
    assert write_senml(path, [volts, percent]) == ("4 readings", ())
    said = [(name[6:], str(t)[-2:], unit) for name, t, unit, _ in resolved(path)]
    assert said == [
        ("gravity", "01", "/"), ("battery", "01", "V"),
        ("gravity", "02", "/"), ("battery", "02", "V"), ("battery", "02", "%EL"),
        ("gravity", "03", "/"), ("battery", "03", "V"),
        ("gravity", "06", "/"), ("battery", "06", "%EL"),
    ]  # fmt: skip


def test_times_that_would_mean_something_else_are_left_out_and_that_is_told(tmp_path: Path, runs: Runs) -> None:
    path = tmp_path / "out.senml"
    at = 2**28 * 1_000_000
    block = runs.block([(at - 1, "north", 1.05, NAN, NAN, NAN, NAN), (at, "north", 1.05, NAN, NAN, NAN, NAN)], "north")
    assert write_senml(path, [block]) == (
        "1 reading", ("1 reading from before 4 July 1978 is left out: SenML has no way to write such times",),
    )  # fmt: skip
    assert [t for _, t, *_ in resolved(path)] == [2**28]


def test_no_readings_are_an_empty_array(tmp_path: Path) -> None:
    assert write_senml(tmp_path / "out.senml", []) == ("0 readings", ())
    assert resolved(tmp_path / "out.senml") == []
