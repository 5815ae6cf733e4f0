"""The original gravity of a batch: entered, or by a sample of its wort, which a check of the instrument corrects."""

from __future__ import annotations

import msgspec
import pytest

from lullwort.analysis import (
    ENTERED_SD,
    GravityCorrection,
    HandReading,
    hand_reading,
    hand_readings,
    is_wort_sample,
    measured_original,
)
from lullwort.records import Batch, Event, Instrument
from lullwort.science import hydrometer_in_beer, refractometer_shows

H = 3_600_000_000
WORT = Event(at_us=-H, kind="sample", gravity=1.0500, temperature_c=25.0, instrument="jar")
BATCH = Batch(vessel="v", name="b", pitched_us=0, instruments=(Instrument(name="jar"),), events=(WORT,))


def replaced(batch: Batch, **fields: object) -> Batch:
    return msgspec.structs.replace(batch, **fields)


def test_what_was_entered_stands() -> None:
    entered = replaced(BATCH, original_gravity=1.048)
    found = measured_original(entered)
    assert found is not None
    assert found.points == pytest.approx(48.0)
    assert (found.sd, found.sample) == (ENTERED_SD, None)


def test_a_sample_of_the_wort_stands_for_it_and_counts_as_sugar() -> None:
    found = measured_original(BATCH)
    assert found is not None
    assert found.sg == pytest.approx(hydrometer_in_beer(None, 1.0500, 25.0, calibration_c=20.0))
    assert found.sample == WORT
    assert GravityCorrection(BATCH).original_gravity == found.sg
    assert GravityCorrection(BATCH, 4.0).original_gravity == pytest.approx(found.sg + 0.004)


def test_a_later_check_in_water_corrects_it() -> None:
    checked = replaced(BATCH, instruments=(Instrument(name="jar", error=3.0, checked_us=9),))
    before, after = measured_original(BATCH), measured_original(checked)
    assert before is not None
    assert after is not None
    assert after.points == pytest.approx(before.points - 3.0, abs=0.02)
    assert after.sd < before.sd


def test_the_last_sample_before_the_yeast_counts_and_none_after_it() -> None:
    later = Event(at_us=0, kind="sample", gravity=1.0520)
    after = Event(at_us=1, kind="sample", gravity=1.0300)
    found = measured_original(replaced(BATCH, events=(WORT, later, after)))
    assert found is not None
    assert found.points == pytest.approx(52.0)
    assert [is_wort_sample(BATCH, event) for event in (WORT, later, after, Event(at_us=-H, kind="rouse"))] == [
        True, True, False, False,
    ]  # fmt: skip
    assert measured_original(replaced(BATCH, events=(after,))) is None
    # None that the tables of beer do not reach.
    strong = Event(at_us=0, kind="sample", gravity=1.2, temperature_c=39.0)
    assert measured_original(replaced(BATCH, events=(strong,))) is None
    # One that cannot be corrected gives way to one that can.
    hot = Event(at_us=0, kind="sample", gravity=1.04, temperature_c=60.0)
    found = measured_original(replaced(BATCH, events=(WORT, hot)))
    assert found is not None
    assert found.sample == WORT


def by_brix(batch: Batch, brix: float, at_us: int = H) -> HandReading | None:
    return hand_reading(batch, Event(at_us=at_us, kind="sample", brix=brix), GravityCorrection(batch))


def test_brix_of_beer_says_nothing_without_an_original_gravity_and_an_estimate_with_it() -> None:
    without = replaced(BATCH, events=())
    assert by_brix(without, 6.7) is None
    entered = replaced(without, original_gravity=1.050)
    read = by_brix(entered, refractometer_shows(1.050, 1.012, wort_factor=1.04))
    assert read is not None
    assert read.estimate
    assert read.points == pytest.approx(12.0, abs=0.001)
    # One look 0.12 °Bx and an unchecked zero 0.3, six points each, and 1.5 points for the model.
    assert read.read_sd == pytest.approx(0.70, abs=0.03)
    assert read.sd == pytest.approx(2.4, abs=0.1)


def test_brix_of_wort_is_a_reading_like_another() -> None:
    shown = refractometer_shows(1.050, 1.050, wort_factor=1.04)
    wort = Event(at_us=0, kind="sample", brix=shown)
    batch = replaced(BATCH, events=(wort,))
    found = measured_original(batch)
    assert found is not None
    assert found.points == pytest.approx(50.0, abs=0.001)
    assert found.sd == pytest.approx(1.7, abs=0.1)
    read = by_brix(batch, shown, at_us=0)
    assert read is not None
    assert not read.estimate


def test_a_refractometer_s_own_factor_and_error_are_taken() -> None:
    prism = Instrument(name="prism", kind="refractometer", division=0.2, error=0.4, checked_us=1, wort_factor=1.0)
    batch = replaced(BATCH, original_gravity=1.050, instruments=(prism,))
    shown = refractometer_shows(1.050, 1.012, wort_factor=1.0) + 0.4
    event = Event(at_us=H, kind="sample", brix=shown, instrument="prism")
    read = hand_reading(batch, event, GravityCorrection(batch))
    assert read is not None
    assert read.points == pytest.approx(12.0, abs=0.001)


def test_what_was_added_by_then_counts() -> None:
    # Of 1.050 and 10 points of sugar: with the same reading more is alcohol, so the gravity is lower.
    sample = Event(at_us=3 * H, kind="sample", brix=6.7)
    sugar = Event(at_us=2 * H, kind="addition", points=10.0)
    late = Event(at_us=4 * H, kind="addition", points=10.0)
    plain = replaced(BATCH, original_gravity=1.050, events=(sample, late))
    ((_, without),) = hand_readings(plain)
    ((_, with_sugar),) = hand_readings(replaced(plain, events=(sugar, sample)))
    assert without is not None
    assert with_sugar is not None
    assert with_sugar.points < without.points - 1.0
