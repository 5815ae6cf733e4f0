"""What hand samples teach of a sensor changes nothing for those who take none."""

from __future__ import annotations

import hashlib
from typing import get_args

import pytest

from lullwort.detector import judge
from lullwort.records import VesselReadings
from lullwort.rehearsal import invent
from lullwort.rehearsal.family import Family
from lullwort.rehearsal.kinds import SCORED

# Snapshots, taken of the code from before a sensor had a scale: not measured, and not from anywhere else.
BEFORE = {
    "tail": "0981dc0ce12c475b",
    "uptake": "39d2e04da9d100c0",
    "vigour": "47c100f5a46139a7",
}


@pytest.mark.no_cover
@pytest.mark.parametrize("family", get_args(Family))
def test_the_history_of_a_batch_without_any_sample_is_what_it_was_before_a_sensor_had_a_scale(family: Family) -> None:
    told = []
    for kind in SCORED:
        invented = invent(kind, 1311, family=family)
        judged = judge(invented.batch, VesselReadings.of(invented.readings))
        told += [
            (kind, change.at_us, change.verdict, round(change.seen.gravity or 0.0, 6)) for change in judged.history
        ]
    assert hashlib.sha256(repr(told).encode()).hexdigest()[:16] == BEFORE[family]
