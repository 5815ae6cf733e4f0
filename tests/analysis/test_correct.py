"""A known answer to temperature is taken off the sensor that has it, and of no other."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.analysis import GravityCorrection
from lullwort.records import ANSWER_BEYOND_K, Batch, SensorTraits, TemperatureAnswer

ANSWER = TemperatureAnswer(points_per_k=0.4, sd=0.03, reference_c=20.0, hours=90, learned_us=0, low_c=4.0, high_c=21.0)
BARE = Batch(vessel="north", name="a", pitched_us=0, original_gravity=1.050)


def correction(answer: TemperatureAnswer = ANSWER, **entries: Any) -> GravityCorrection:
    batch = msgspec.structs.replace(BARE, sensors=(SensorTraits(name="float", answer=answer),), **entries)
    return GravityCorrection(batch)


@given(st.floats(1.000, 1.060), st.floats(4.0, 21.0))
def test_it_is_taken_off(gravity: float, temp_c: float) -> None:
    bare = GravityCorrection(BARE).points(gravity, temp_c)
    mended = correction().points(gravity, temp_c, "float")
    assert bare is not None
    assert mended is not None
    assert bare - mended == pytest.approx(0.4 * (temp_c - 20.0), abs=0.15)  # but for what the liquid's own changes by


def test_nothing_is_taken_off_at_its_reference_or_of_another_sensor() -> None:
    plain = GravityCorrection(BARE)
    assert correction().points(1.012, 20.0, "float") == plain.points(1.012, 20.0)
    assert correction().points(1.012, 5.0, "other") == plain.points(1.012, 5.0)
    assert correction().points(1.012, 5.0) == plain.points(1.012, 5.0)


def test_beyond_where_it_was_learned_it_counts_no_further() -> None:
    of = correction()
    plain = GravityCorrection(BARE)
    off = (of.points(1.012, 0.5, "float") or 0.0) - (plain.points(1.012, 0.5) or 0.0)
    assert off == pytest.approx(0.4 * (20.0 - 4.0 + ANSWER_BEYOND_K), abs=0.15)


@pytest.mark.parametrize(
    "entries", [{"gravity_reported": "corrected"}, {"sensor_expansion_per_k": 6e-5}], ids=lambda e: next(iter(e))
)
def test_an_answer_that_was_learned_otherwise_is_none_of_this_batch(entries: dict[str, Any]) -> None:
    assert correction(**entries).answers == {}


def test_where_the_sensor_corrects_itself_its_answer_is_what_is_left() -> None:
    of = correction(msgspec.structs.replace(ANSWER, corrected=True), gravity_reported="corrected")
    assert of.points(1.012, 10.0, "float") == pytest.approx(16.0)
    assert of.points(1.012, None, "float") == pytest.approx(12.0)
