"""A hand sample becomes a gravity: at another temperature, with another instrument, with an instrument that is off."""

from __future__ import annotations

import pytest

from lullwort.analysis import GravityCorrection, HandReading, hand_reading
from lullwort.records import Batch, Event, Instrument
from lullwort.science import CALIBRATION_60F_C, hydrometer_true_sg

JAR = Instrument(name="jar", calibrated_c=CALIBRATION_60F_C, division=1.0, error=1.5, checked_us=1)
BATCH = Batch(vessel="v", name="b", pitched_us=0, original_gravity=1.050, instruments=(JAR,))


def read(batch: Batch = BATCH, **sample: object) -> HandReading:
    event = Event(at_us=5, kind="sample", **sample)  # type: ignore[arg-type]
    found = hand_reading(batch, event, GravityCorrection(batch))
    assert found is not None
    return found


def test_a_reading_at_the_temperature_for_which_both_stand_is_what_it_shows() -> None:
    assert read(gravity=1.012, temperature_c=20.0).points == pytest.approx(12.0, abs=1e-9)
    assert read(gravity=1.012) == read(gravity=1.012, temperature_c=20.0)


def test_an_instrument_for_60_f_in_water_at_60_f_shows_what_water_has_at_20_c() -> None:
    # Water at 20 °C is 1.000 at 20 °C by definition; whatever the glass is right at, it shows 1.000 there.
    plain = Batch(vessel="v", name="b", pitched_us=0)
    assert read(plain, gravity=1.0, calibrated_c=CALIBRATION_60F_C).points == pytest.approx(0.0, abs=0.01)


def test_an_instrument_for_60_f_in_a_sugar_solution_agrees_with_the_published_way() -> None:
    # Both by [Bubnik1995]; the other way goes by the gravity at 60 °F, the sugar in it and its density at 20 °C.
    plain = Batch(vessel="v", name="b", pitched_us=0)
    at_60 = float(hydrometer_true_sg(1.050, 25.0))
    points = read(plain, gravity=1.050, temperature_c=25.0, calibrated_c=CALIBRATION_60F_C).points
    # Sugar solutions expand a little more than water: 1.0523 at 60 °F over water there is 0.2 points less at 20 °C.
    assert 0.0 < (at_60 - 1.0) * 1000.0 - points < 0.3


def test_its_own_error_is_taken_off_and_its_uncertainty_told() -> None:
    with_jar = read(gravity=1.0135, temperature_c=CALIBRATION_60F_C, instrument="jar")
    right = read(gravity=1.0120, temperature_c=CALIBRATION_60F_C, calibrated_c=CALIBRATION_60F_C)
    assert with_jar.points == pytest.approx(right.points, abs=1e-9)
    assert with_jar.error_sd < right.error_sd
    assert with_jar.sd == pytest.approx((with_jar.read_sd**2 + with_jar.error_sd**2) ** 0.5)
    assert with_jar.instrument == "jar"


def test_two_that_are_not_on_record_and_cannot_be_one_do_not_share_an_error() -> None:
    ordinary, plain = read(gravity=1.012), read(gravity=1.012, calibrated_c=20.0)
    for_60 = read(gravity=1.012, calibrated_c=CALIBRATION_60F_C)
    prism = read(brix=6.0)
    assert ordinary.instrument == plain.instrument == ""
    assert len({one.instrument for one in (ordinary, for_60, prism)}) == 3


def test_what_would_be_a_guess_is_none() -> None:
    event = Event(at_us=5, kind="sample", gravity=1.012, temperature_c=39.0, calibrated_c=45.0)
    assert hand_reading(BATCH, event, GravityCorrection(BATCH)) is None
    assert hand_reading(BATCH, Event(at_us=5, kind="rouse"), GravityCorrection(BATCH)) is None
