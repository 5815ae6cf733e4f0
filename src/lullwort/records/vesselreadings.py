"""Readings of one vessel column by column: what is judged, without an object for each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lullwort.records.reading import Reading

__all__ = ["VesselReadings"]


@dataclass(frozen=True, eq=False)
class VesselReadings:
    """Readings of one vessel in common units; columns of one length n.

    Attributes:
        sensors: ids that occur, each once.
        sensor_codes: for each reading its place in those.
        at_us:   [µs since 1970-01-01 UTC].
        gravity: [SG] as the sensors gave it; NaN where not given.
        temperature_c: [°C] of the liquid; NaN where not given.

    >>> readings = VesselReadings.of([Reading("s", "v", 7, 1.050, None)])
    >>> len(readings), readings.sensors, readings.temperature_c
    (1, ('s',), array([nan]))
    """

    sensors: tuple[str, ...]
    sensor_codes: NDArray[np.int32]
    at_us: NDArray[np.int64]
    gravity: NDArray[np.float64]
    temperature_c: NDArray[np.float64]

    @classmethod
    def of(cls, readings: Iterable[Reading]) -> VesselReadings:
        """These readings in their order, taken to be of one vessel."""
        rows = list(readings)
        codes: dict[str, int] = {}
        return cls(
            sensor_codes=np.array([codes.setdefault(r.sensor, len(codes)) for r in rows], dtype=np.int32),
            sensors=tuple(codes),
            at_us=np.array([r.at_us for r in rows], dtype=np.int64),
            gravity=np.array([r.gravity for r in rows], dtype=np.float64),  # None becomes NaN
            temperature_c=np.array([r.temperature_c for r in rows], dtype=np.float64),
        )

    @classmethod
    def joined(cls, parts: Sequence[VesselReadings]) -> VesselReadings:
        """All readings of `parts`, one part after the other."""
        if not parts:
            return cls.of(())
        if len(parts) == 1:
            return parts[0]
        codes: dict[str, int] = {}
        recoded = [[codes.setdefault(name, len(codes)) for name in part.sensors] for part in parts]
        return cls(
            tuple(codes),
            np.concatenate(
                [np.array(of, dtype=np.int32)[part.sensor_codes] for of, part in zip(recoded, parts, strict=True)]
            ),
            np.concatenate([part.at_us for part in parts]),
            np.concatenate([part.gravity for part in parts]),
            np.concatenate([part.temperature_c for part in parts]),
        )

    def __len__(self) -> int:
        return len(self.at_us)

    def __getitem__(self, which: slice | NDArray[np.bool_] | NDArray[np.int64]) -> VesselReadings:
        return VesselReadings(
            self.sensors, self.sensor_codes[which], self.at_us[which], self.gravity[which], self.temperature_c[which]
        )

    def within(self, from_us: int, before_us: int | None) -> VesselReadings:
        """Those with from_us ≤ at_us < before_us [µs], in their order; None: without end."""
        chosen = self.at_us >= from_us
        if before_us is not None:
            chosen &= self.at_us < before_us
        return self if chosen.all() else self[chosen]
