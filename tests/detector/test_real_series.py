"""Real fermentations, measured by others: nothing may be declared while they still ran.

The series and what each can honestly be asked to show come with the data sets: `expected.csv` gives for each the
last hour at which its own record shows it running, and the first from which it stays flat. They are assays of sugar
and an in-line infrared trace, not a float's density; gravity is taken as 1 + 0.000386 per g/L of total sugar
(a rough conversion: only its shape means anything), or as the file's own straight-line fit for the infrared trace.
Window and coverage are set to a series' own sampling: the interval is stated, the window is at least two of it.
"""

from __future__ import annotations

import csv
from importlib.resources import files
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from lullwort.detector import Judged, judge
from lullwort.forecast import foreseen
from lullwort.records import HOUR_US, Batch, Reading, VesselReadings, parse_instant

pytestmark = pytest.mark.no_cover

PITCHED_US = parse_instant("2026-03-02T09:00:00Z")
SG_PER_SUGAR_G_L = 0.000386

NOT_PROVEN = {
    # Flat by its own record, but too little of it for an honest proof; each would be a guess.
    ("agave_valle_2024.csv", "1"): "five samples in 32 h, of which the first is below the second",
    ("agave_valle_2024.csv", "2"): "sugar creeps by 1.6 g/L over the five samples in 32 h that are called flat",
    ("agave_valle_2024.csv", "3"): "sugar creeps by 2.6 g/L (1 point) over the 32 h that are called flat",
    ("red_wine_stellenbosch_2022.csv", "C_Frozen_B"): "four samples, the last of them 5 g/L above the others",
    ("red_wine_stellenbosch_2022.csv", "C_17L_B"): "two samples on the plateau, the third on another calibration",
    ("inline_infrared_dtu_2019.csv", ""): "15 h of plateau, less than the shortest window",
}

Series = list[tuple[float, float, float | None]]  # hours, SG, °C


def read_series(folder: Path, expected: dict[str, str]) -> Series:
    series = []
    with (folder / expected["file"]).open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if expected["series_column"] and row[expected["series_column"]] != expected["series"]:
                continue
            value = row[expected["signal"]]
            if value:
                gravity = (
                    float(value) if expected["signal"] == "sg_like_derived" else 1.0 + SG_PER_SUGAR_G_L * float(value)
                )
                temp_c = row.get("temperature_c")
                series.append((float(row["time_h"]), gravity, float(temp_c) if temp_c else None))
    return series


def entered(series: Series) -> tuple[Batch, VesselReadings]:
    interval = float(np.median(np.diff([hour for hour, _, _ in series])))
    batch = Batch(
        vessel="real", name="real-1", pitched_us=PITCHED_US, original_gravity=series[0][1],
        expected_attenuation=(0.9, 1.2), hold_window_h=48 if interval > 12 else 24, gravity_reported="corrected",
        reading_interval_h=max(1.0, interval), steady_temperature_c=28.0 if series[0][2] is None else None,
    )  # fmt: skip
    readings = [Reading("real", "real", PITCHED_US + round(h * HOUR_US), g, t) for h, g, t in series]
    return batch, VesselReadings.of(readings)


def judge_series(series: Series) -> Judged:
    batch, readings = entered(series)
    return judge(batch, readings, as_of_us=int(readings.at_us[-1]) + HOUR_US)


def ready_hours(judged: Judged) -> list[float]:
    return [(c.at_us - PITCHED_US) / HOUR_US for c in judged.history if c.verdict == "ready"]


def test_no_real_series_is_declared_while_it_runs_and_the_finished_ones_are_after(open_data: Path) -> None:
    with (open_data / "fermentation" / "expected.csv").open(encoding="utf-8", newline="") as file:
        expected = list(csv.DictReader(file))
    assert len(expected) == 23
    not_proven = {}
    for row in expected:
        hours = ready_hours(judge_series(read_series(open_data / "fermentation", row)))
        assert all(hour > float(row["active_until_h"]) for hour in hours), row
        if row["verdict"].startswith("finished"):
            if not hours:
                not_proven[row["file"], row["series"]] = row["verdict"]
            assert all(hour > float(row["flat_from_h"]) for hour in hours), row
        else:
            assert not hours, row
    assert set(not_proven) == set(NOT_PROVEN), not_proven


def test_real_series_foreseen_from_half_their_length(open_data: Path) -> None:
    with (open_data / "fermentation" / "expected.csv").open(encoding="utf-8", newline="") as file:
        expected = list(csv.DictReader(file))
    came, within, ends_within, ends = 0, 0, 0, 0
    for row in expected:
        series = read_series(open_data / "fermentation", row)
        batch, readings = entered(series)
        half_us = PITCHED_US + round(0.5 * series[-1][0] * HOUR_US) + HOUR_US
        forecast = foreseen(batch, readings, as_of_us=half_us)
        assert forecast.unsaid or forecast.ready is not None, row
        ready_h = next(iter(ready_hours(judge_series(series))), None)
        if forecast.end is not None and row["verdict"] == "finished":
            end = (float(np.median([gravity for _, gravity, _ in series[-3:]])) - 1.0) * 1000.0
            ends += 1
            ends_within += forecast.end.low <= end <= forecast.end.high
        if forecast.ready is not None:
            assert forecast.as_of_us < forecast.ready.low_us <= forecast.ready.about_us < forecast.ready.high_us
            if ready_h is not None:
                came += 1
                within += forecast.ready.low_us <= PITCHED_US + ready_h * HOUR_US <= forecast.ready.high_us
    # As they came out. The ranges of the end are as wide as the attenuation entered, 0.9 to 1.2, so that theirs says
    # little.
    assert (came, within) == (16, 16)
    assert (ends, ends_within) == (21, 21)


def test_a_real_series_cut_off_while_it_ran_is_not_declared(open_data: Path) -> None:
    with (open_data / "fermentation" / "expected.csv").open(encoding="utf-8", newline="") as file:
        expected = list(csv.DictReader(file))
    for row in expected:
        series = [r for r in read_series(open_data / "fermentation", row) if r[0] <= float(row["active_until_h"])]
        assert not ready_hours(judge_series(series)), row


def test_a_real_series_that_stops_high_is_not_called_ready(open_data: Path) -> None:
    with (open_data / "fermentation" / "expected.csv").open(encoding="utf-8", newline="") as file:
        wine = next(row for row in csv.DictReader(file) if row["series"] == "C_Fresh_A")
    series = [(h, g + 0.030, t) for h, g, t in read_series(open_data / "fermentation", wine)]
    judged = judge_series([(0.0, 1.0974, 20.0), *series[1:]])
    assert not ready_hours(judged)
    assert judged.verdict == "stalled"


@pytest.fixture(scope="module")
def infrared() -> Series:
    """In-line infrared trace of a lignocellulosic fermentation, 1,629 spectra over 33.9 h.

    Source: dtuprosys 0.1.24 (MIT), recorded 2019 at the Technical University of Denmark, doi 10.1002/bit.27586.
    One band, 1046 against 1031 and 1060 per cm, tracks ethanol; the line that turns it into a gravity-like number
    is our own fit to the package's hourly assays, so only its shape means anything. No times are given: 1.25 min
    between spectra is inferred from the span of the assays.
    """
    data = files("dtuprosys.chemometrics.datasets.data")
    spectra = pd.read_csv(str(data / "fermentation_spectra.csv"))
    wave = np.array([float(column) for column in spectra.columns])
    values = spectra.to_numpy()

    def band(at: float) -> np.ndarray:
        return np.asarray(values[:, int(np.argmin(np.abs(wave - at)))])

    signal = band(1046.0) - 0.5 * (band(1031.0) + band(1060.0))
    hours = np.arange(len(signal)) * 1.25 / 60.0
    assays = pd.read_csv(str(data / "fermentation_hplc.csv"))
    sugar = (assays["glucose"] + assays["xylose"]).to_numpy()
    gravity = 1.0 + SG_PER_SUGAR_G_L * sugar - 0.000165 * assays["ethanol"].to_numpy()
    mean = np.array([signal[np.abs(hours - t) < 0.25].mean() for t in assays["time"]])
    line = np.polyfit(mean, gravity, 1)
    return [(float(h), float(g), None) for h, g in zip(hours, np.polyval(line, signal), strict=True)]


def test_the_infrared_trace_is_not_declared_in_its_lag_nor_while_it_runs(infrared: Series) -> None:
    judged = judge_series(infrared)
    assert len(infrared) == 1629
    assert [change.verdict for change in judged.history][:2] == ["lag", "fermenting"]
    # Flat near its start for ten hours, running until hour 17, on a plateau from hour 19: 15 h prove nothing yet.
    assert not ready_hours(judged)
    assert judged.now.gravity is not None
    assert judged.now.gravity < 5.0, "the end of the trace is near 1.000"


def test_the_hourly_assays_of_that_fermentation_are_not_declared_while_xylose_still_ferments() -> None:
    data = files("dtuprosys.chemometrics.datasets.data")
    assays = pd.read_csv(str(data / "fermentation_hplc.csv"))
    series: Series = [
        (float(t), 1.0 + SG_PER_SUGAR_G_L * float(g + x), None)
        for t, g, x in zip(assays["time"], assays["glucose"], assays["xylose"], strict=True)
    ]
    assert len(series) == 34
    assert not ready_hours(judge_series(series))
