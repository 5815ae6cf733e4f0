"""A beer drawn by hand, hour by hour, for tests that need to know exactly what the detector saw. All invented."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np
import pytest

from lullwort.detector import Judged, evidence, judge
from lullwort.records import HOUR_US, Batch, Event, Reading, VesselReadings, parse_instant

PITCHED_US = parse_instant("2026-03-02T09:00:00Z")

Points = Callable[[np.ndarray], np.ndarray]


class Bench:
    """Draws readings and judges them."""

    pitched_us = PITCHED_US

    @staticmethod
    def ale(end: float = 11.0, original: float = 50.0) -> Points:
        def points(h: np.ndarray) -> np.ndarray:
            main = (original - end - 3.0) / (1.0 + np.exp(0.083 * (h - 54.0)))
            return end + main + 3.0 * np.where(h < 54.0, 1.0, np.exp(-(h - 54.0) / 40.0))

        return points

    @staticmethod
    def at(hour: float) -> int:
        return PITCHED_US + round(hour * HOUR_US)

    def event(self, hour: float, kind: str, **more: float) -> Event:
        return msgspec.convert({"at_us": self.at(hour), "kind": kind, **more}, Event)

    def readings(
        self, points: Points, days: float, *, temp_c: Points | float = 20.0, noise: float = 0.2, seed: int = 1
    ) -> list[Reading]:
        """Every half hour; gravity already corrected for temperature."""
        rng = np.random.default_rng(seed)
        hours = np.arange(0.25, 24.0 * days, 0.5)
        values = points(hours) + rng.normal(0.0, noise, hours.size)
        temps = temp_c(hours) if callable(temp_c) else np.full(hours.size, temp_c)
        return [
            Reading("north", "north", self.at(float(h)), round(1.0 + float(v) / 1000.0, 5), round(float(t), 2))
            for h, v, t in zip(hours, values, temps, strict=True)
        ]

    @staticmethod
    def batch(**more: object) -> Batch:
        fields: dict[str, object] = {
            "vessel": "north", "name": "north-12", "pitched_us": PITCHED_US, "original_gravity": 1.050,
            "expected_final_gravity": (1.011, 1.011), "yeast_min_c": 14.0, "gravity_reported": "corrected",
        }  # fmt: skip
        return msgspec.convert({**fields, **more}, Batch)

    def judge(self, readings: list[Reading], *, until_h: float | None = None, **batch: object) -> Judged:
        as_of = None if until_h is None else self.at(until_h)
        return judge(self.batch(**batch), VesselReadings.of(readings), as_of_us=as_of)

    def story(self, judged: Judged) -> list[str]:
        return [change.verdict for change in judged.history]

    @staticmethod
    def placed(judged: Judged) -> str:
        """What the check of the level says."""
        return {c.check: c.says for c in evidence(judged.now)}["where it should be"]

    def hours(self, judged: Judged, verdict: str) -> list[float]:
        return [(c.at_us - PITCHED_US) / HOUR_US for c in judged.history if c.verdict == verdict]


@pytest.fixture(scope="session")
def bench() -> Bench:
    return Bench()
