"""Sensor logs that nobody here wrote, none of them a fermentation: every row is accounted for, no `ready` comes of one.

Files of the folder that LULLWORT_OPEN_DATA names: UCI Air Quality [De Vito et al. 2008, doi 10.1016/j.snb.2007.09.060],
Mauna Loa weekly CO2 [statsmodels], NOAA hourly temperatures of Seattle [vega_datasets], NREL MIDC and NOAA SURFRAD
station files [pvlib]. Counts and spans are those of the files themselves. From packages: vega_datasets 0.9, river.
"""

from __future__ import annotations

import importlib.util
import os
from pathlib import Path
from typing import NamedTuple

import msgspec
import pytest

from lullwort.analysis import vessel_readings
from lullwort.collector import LogSurvey, Mapping, VesselSurvey, open_log, propose_mapping
from lullwort.detector import judge
from lullwort.errors import UsageError
from lullwort.records import Batch, SetAside, VesselReadings, format_utc

pytestmark = pytest.mark.no_cover

FOLDER = os.environ.get("LULLWORT_OPEN_DATA")
NEEDS_FOLDER = pytest.mark.skipif(FOLDER is None, reason="LULLWORT_OPEN_DATA names no folder of open data")


class Taken(NamedTuple):
    readings: VesselReadings
    set_aside: list[SetAside]
    found: VesselSurvey


def take(path: Path, mapping: Mapping) -> Taken:
    parts: list[VesselReadings] = []
    set_aside: list[SetAside] = []
    survey = LogSurvey()
    with open_log(path, mapping) as log:
        for block, aside in log.blocks():
            survey.add(block)
            parts += vessel_readings(block).values()
            set_aside += aside
    (found,) = survey.vessels().values()
    return Taken(VesselReadings.joined(parts), set_aside, found)


def packaged(*parts: str) -> Path:
    """A file of an installed package, which is not imported."""
    spec = importlib.util.find_spec(parts[0])
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent.joinpath(*parts[1:])


def open_file(name: str) -> Path:
    return Path(FOLDER or "") / "sensor-logs" / name


def plain(mapping: Mapping) -> Mapping:
    """What a person might have stated who did not think of units."""
    return msgspec.structs.replace(mapping, temperature=None, zone="UTC")


def never_ready(readings: VesselReadings) -> bool:
    """Judged as a beer of which nothing is known: no verdict of its history is `ready`."""
    batch = Batch(vessel="room", name="no-beer", pitched_us=int(readings.at_us.min()), original_gravity=1.050)
    return all(change.verdict != "ready" for change in judge(batch, readings).history)


ROOM = Mapping(vessel="room", without=("gravity",))


@NEEDS_FOLDER
def test_semicolons_decimal_commas_blank_rows_and_sentinels() -> None:
    path = open_file("airquality_semicolon_decimal_comma.csv")
    stated = Mapping(columns={"temperature": ("T",)}, zone="Europe/Rome").over(ROOM)
    proposal = propose_mapping(path, stated)
    assert proposal.doubts == ()
    assert (proposal.mapping.times, proposal.mapping.decimal) == ("dmy", "comma")
    assert proposal.mapping.missing == ("-200",)
    taken = take(path, proposal.mapping)
    # 27 of 1,000 rows have -200 in column T: with gravity left out, such a row says nothing.
    assert (len(taken.readings), len(taken.set_aside)) == (1000 - 27 - 1, 27 + 1)
    # 28 March 2004, 02:00: that hour was skipped in Italy.
    assert [row.seen for row in taken.set_aside if "skips" in row.expected] == ["28/03/2004 02:00:00"]
    assert taken.readings.temperature_c.min() > -10.0
    assert never_ready(taken.readings)


@NEEDS_FOLDER
def test_dates_without_separators_and_empty_values() -> None:
    path = open_file("co2_weekly_missing.csv")
    columns: dict[str, tuple[str, ...]] = {"time": ("date",), "gravity": ("co2",)}
    stated = Mapping(columns=columns, without=("temperature",), gravity="points", times="ymd", zone="UTC")
    taken = take(path, Mapping(vessel="room").over(stated))
    assert len(taken.readings) + len(taken.set_aside) == 2284
    # 612 weeks from 1958 to 1969 lie before any sensor's time; the rest of the 59 empty values are set aside as such.
    assert {row.expected for row in taken.set_aside} == {
        "a time in the years 1970 to 2199",
        "a gravity or a temperature",
    }
    assert taken.found.step_s == 7 * 86_400
    assert never_ready(taken.readings)


@NEEDS_FOLDER
def test_fahrenheit_hours_without_a_zone_are_refused_until_it_is_stated() -> None:
    path = open_file("seattle_temps_fahrenheit.csv")
    proposal = propose_mapping(path, ROOM)
    assert ({doubt.field for doubt in proposal.doubts}, proposal.mapping.temperature) == ({"zone"}, "F")
    with pytest.raises(UsageError, match="--log-temperature F"), open_log(path, plain(proposal.mapping)):
        pass
    taken = take(path, propose_mapping(path, Mapping(zone="America/Los_Angeles", temperature="F").over(ROOM)).mapping)
    assert len(taken.readings) + len(taken.set_aside) == 8759
    # Clocks in Seattle skipped the one and showed the other twice; the file has each once.
    assert [row.seen for row in taken.set_aside] == ["2010/03/14 02:00", "2010/11/07 01:00"]
    assert format_utc(taken.found.first_us) == "2010-01-01T08:00:00Z"
    assert never_ready(taken.readings)


@NEEDS_FOLDER
def test_date_and_time_of_day_in_two_columns_and_units_in_the_header() -> None:
    path = open_file("site_minute_split_datetime.csv")
    proposal = propose_mapping(path, ROOM)
    assert {doubt.field for doubt in proposal.doubts} == {"zone", "columns"}
    assert proposal.mapping.columns["time"] == ("DATE (MM/DD/YYYY)", "MST")
    stated = Mapping(zone="Etc/GMT+7", columns={"temperature": ("Temperature @ 2m [deg C]",)}).over(ROOM)
    settled = propose_mapping(path, stated)
    assert (settled.doubts, settled.mapping.times, settled.mapping.temperature) == ((), "mdy", "C")
    taken = take(path, settled.mapping)
    assert (len(taken.readings), taken.set_aside, taken.found.step_s) == (1440, [], 60.0)
    assert format_utc(taken.found.first_us) == "2018-10-14T07:00:00Z"
    assert never_ready(taken.readings)


@NEEDS_FOLDER
def test_title_lines_blanks_and_a_time_in_five_columns() -> None:
    path = open_file("station_whitespace_sentinels.dat")
    columns = {"time": ("#1", "#3", "#4", "#5", "#6"), "temperature": ("#39",)}
    stated = Mapping(columns=columns, times="ymd", zone="UTC", missing=("-9999.9",)).over(ROOM)
    proposal = propose_mapping(path, stated)
    assert (proposal.mapping.skip_lines, proposal.mapping.header, proposal.mapping.delimiter) == (2, False, "blanks")
    taken = take(path, proposal.mapping)
    assert (len(taken.readings), taken.set_aside, taken.found.step_s) == (300, [], 60.0)
    assert taken.readings.temperature_c[0] == -7.6
    assert never_ready(taken.readings)


def water_flow(path: Path) -> None:
    stated = Mapping(
        columns={"gravity": ("Water flow [l/s]",)}, without=("temperature",), gravity="points", vessel="room"
    )
    taken = take(path, propose_mapping(path, stated).mapping)
    assert (len(taken.readings), taken.set_aside, taken.found.step_s) == (1268, [], 3600.0)
    # The offset changes from +01:00 to +02:00 on 27 March 2022 without a gap.
    assert all(not format_utc(start).startswith("2022-03-27") for start, _ in taken.found.gaps)
    assert never_ready(taken.readings)


@NEEDS_FOLDER
def test_offsets_across_a_clock_change_leave_no_gap() -> None:
    water_flow(open_file("water_flow_dst.csv"))


def test_offsets_across_a_clock_change_in_the_copy_of_a_package() -> None:
    water_flow(packaged("river", "datasets", "water-flow.csv"))


def test_a_value_before_its_date_in_fahrenheit() -> None:
    path = packaged("vega_datasets", "_data", "sf-temps.csv")
    proposal = propose_mapping(path, ROOM)
    assert "zone" in {doubt.field for doubt in proposal.doubts}
    assert proposal.mapping.temperature == "F"
    taken = take(path, propose_mapping(path, Mapping(zone="America/Los_Angeles", temperature="F").over(ROOM)).mapping)
    assert len(taken.readings) + len(taken.set_aside) == 8759
    assert [row.seen[:13] for row in taken.set_aside] == ["2010/03/14 02", "2010/11/07 01"]
    assert 0.0 < taken.readings.temperature_c.min() < 20.0
    assert never_ready(taken.readings)


def test_the_copy_of_a_package_in_fahrenheit_is_known_as_such_and_not_taken_for_celsius() -> None:
    path = packaged("vega_datasets", "_data", "seattle-temps.csv")
    proposal = propose_mapping(path, ROOM)
    assert ({doubt.field for doubt in proposal.doubts}, proposal.mapping.temperature) == ({"zone"}, "F")
    with pytest.raises(UsageError, match="--log-temperature F"), open_log(path, plain(proposal.mapping)):
        pass
