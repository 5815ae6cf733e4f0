"""Wrong entries change what they say and nothing else; the truth stays."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from lullwort.records import Reading
from lullwort.rehearsal import invent
from lullwort.rehearsal.entries import ENTRIES

CHANGED = {
    "sound": set(),
    "no expected end": {"expected_final_gravity"},
    "end 5 points high": {"expected_final_gravity"},
    "end 5 points low": {"expected_final_gravity"},
    "no original gravity": {"original_gravity"},
    "no events": {"events"},
    "no yeast minimum": {"yeast_min_c"},
    "minimum 4 °C high": {"yeast_min_c"},
    "minimum 4 °C low": {"yeast_min_c"},
    "compensating, told as not": set(),
    "not compensating, told as so": {"gravity_reported"},
}


@pytest.mark.parametrize("name", ENTRIES)
def test_only_the_entry_named_is_another(name: str) -> None:
    sound = invent("hop creep", 1)
    entered = ENTRIES[name](sound)
    assert entered.truth is sound.truth
    before, after = msgspec.structs.asdict(sound.batch), msgspec.structs.asdict(entered.batch)
    assert {key for key in before if before[key] != after[key]} == CHANGED[name]
    assert (entered.readings == sound.readings) is (name != "compensating, told as not")


def test_a_compensating_sensor_reads_the_truth_in_the_cold() -> None:
    sound = invent("cold lager", 3)
    entered = ENTRIES["compensating, told as not"](sound)

    def above_truth(readings: list[Reading]) -> float:
        apart = [
            1000.0 * (r.gravity - sound.truth.gravity_at(sound.hour_of(r.at_us)))
            for r in readings
            if r.gravity is not None and 0.98 < r.gravity < 1.1
        ]
        return float(np.median(apart))

    # Water at 10 °C is 1.5 points denser than at 20 °C [Tanaka2001: 999.70 and 998.21 kg/m³].
    assert above_truth(sound.readings) - above_truth(entered.readings) == pytest.approx(1.6, abs=0.4)
