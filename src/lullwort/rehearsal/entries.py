"""Entries of a brewer that are wrong or missing, to see what a method makes of them. The beer and its truth stay."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import msgspec
import numpy as np

from lullwort.records import Reading
from lullwort.rehearsal.invented import Invented
from lullwort.science import sg_at_reference

__all__ = ["ENTRIES"]

_END_OFF = 0.005
_MINIMUM_OFF_C = 4.0


def _entered(invented: Invented, **changes: Any) -> Invented:
    return replace(invented, batch=msgspec.structs.replace(invented.batch, **changes))


def _end_off(by: float) -> Callable[[Invented], Invented]:
    def change(invented: Invented) -> Invented:
        batch = invented.batch
        low, high = batch.expected_final_gravity or (1.0, 1.0)
        forced = None if batch.forced_test_gravity is None else batch.forced_test_gravity + by
        return _entered(invented, expected_final_gravity=(low + by, high + by), forced_test_gravity=forced)

    return change


def _minimum_off(by_c: float) -> Callable[[Invented], Invented]:
    return lambda invented: _entered(invented, yeast_min_c=(invented.batch.yeast_min_c or 0.0) + by_c)


def _compensating(invented: Invented) -> Invented:
    """The sensor gives gravity at the reference temperature itself, which nobody said."""
    gravity = np.array([r.gravity for r in invented.readings], dtype=float)
    temp_c = np.array([r.temperature_c for r in invented.readings], dtype=float)
    sound = (gravity > 0.975) & (gravity < 1.2)
    gravity[sound] = sg_at_reference(invented.batch.original_gravity, gravity[sound], temp_c[sound])
    readings = [
        Reading(r.sensor, r.vessel, r.at_us, round(g, 4), r.temperature_c)
        for r, g in zip(invented.readings, gravity.tolist(), strict=True)
    ]
    return replace(invented, readings=readings)


ENTRIES: dict[str, Callable[[Invented], Invented]] = {
    "sound": lambda invented: invented,
    "no expected end": lambda invented: _entered(invented, expected_final_gravity=None, forced_test_gravity=None),
    "end 5 points high": _end_off(_END_OFF),
    "end 5 points low": _end_off(-_END_OFF),
    "no original gravity": lambda invented: _entered(invented, original_gravity=None),
    "no events": lambda invented: _entered(invented, events=()),
    "no yeast minimum": lambda invented: _entered(invented, yeast_min_c=None),
    "minimum 4 °C high": _minimum_off(_MINIMUM_OFF_C),
    "minimum 4 °C low": _minimum_off(-_MINIMUM_OFF_C),
    "compensating, told as not": _compensating,
    "not compensating, told as so": lambda invented: _entered(invented, gravity_reported="corrected"),
}
"""By name, the batch as such a brewer would have entered it."""
