"""Hand-made batches whose truth is known without inventing anything."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from lullwort.records import HOUR_US, Batch, Event, Reading
from lullwort.rehearsal import Invented, Truth

PITCHED_US = 1_772_442_000_000_000  # 2026-03-02T09:00:00Z

MakeInvented = Callable[..., Invented]


@pytest.fixture
def make_invented() -> MakeInvented:
    """Builds a batch from hourly points; readings on the hour are the truth unless given."""

    def make(
        points: Sequence[float],
        points_left: Sequence[float] | None = None,
        readings: list[Reading] | None = None,
        *,
        action_hours: tuple[float, ...] = (),
        events: tuple[Event, ...] = (),
        expected: tuple[float, float] | None = (1.009, 1.011),
        seed: int = 0,
    ) -> Invented:
        gravity = 1.0 + np.asarray(points, dtype=float) / 1000.0
        hours = np.arange(float(len(points)))
        left = np.zeros(len(points)) if points_left is None else np.asarray(points_left, dtype=float)
        truth = Truth(hours, gravity, left, np.full(len(points), 20.0), action_hours)
        batch = Batch(
            vessel="north",
            name="north-1",
            pitched_us=PITCHED_US,
            original_gravity=1.050,
            expected_final_gravity=expected,
            events=events,
        )
        if readings is None:
            readings = [
                Reading("north", "north", PITCHED_US + i * HOUR_US, g, 20.0) for i, g in enumerate(gravity.tolist())
            ]
        return Invented("hand-made", seed, "tail", batch, readings, truth)

    return make


@pytest.fixture
def dry_hop() -> Callable[[float], Event]:
    """A dry hop so many hours after the pitch of a hand-made batch."""
    return lambda hour: Event(at_us=PITCHED_US + round(hour * HOUR_US), kind="dry hop")
