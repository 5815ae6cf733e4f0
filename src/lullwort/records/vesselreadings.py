"""Readings of one vessel column by column: what is judged, without an object for each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

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
        inclination: [degrees] NaN where not given; None where no reading gives one.
        unusable: why a gravity says nothing that is not of itself beyond belief, by place in
                 `lullwort.analysis.WHY_PASSED_OVER`, 0 for nothing of the kind; None where none is.

    >>> readings = VesselReadings.of([Reading("s", "v", 7, 1.050, None)])
    >>> len(readings), readings.sensors, readings.temperature_c
    (1, ('s',), array([nan]))
    """

    sensors: tuple[str, ...]
    sensor_codes: NDArray[np.int32]
    at_us: NDArray[np.int64]
    gravity: NDArray[np.float64]
    temperature_c: NDArray[np.float64]
    inclination: NDArray[np.float64] | None = None
    unusable: NDArray[np.int8] | None = None

    @classmethod
    def of(cls, readings: Iterable[Reading]) -> VesselReadings:
        """These readings in their order, taken to be of one vessel."""
        rows = list(readings)
        codes: dict[str, int] = {}
        inclined = any(r.inclination is not None for r in rows)
        return cls(
            sensor_codes=np.array([codes.setdefault(r.sensor, len(codes)) for r in rows], dtype=np.int32),
            sensors=tuple(codes),
            at_us=np.array([r.at_us for r in rows], dtype=np.int64),
            gravity=np.array([r.gravity for r in rows], dtype=np.float64),  # None becomes NaN
            temperature_c=np.array([r.temperature_c for r in rows], dtype=np.float64),
            inclination=np.array([r.inclination for r in rows], dtype=np.float64) if inclined else None,
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
            _joined([part.inclination for part in parts], parts, np.nan),
            _joined([part.unusable for part in parts], parts, 0),
        )

    def __len__(self) -> int:
        return len(self.at_us)

    def __getitem__(self, which: slice | NDArray[np.bool_] | NDArray[np.int64]) -> VesselReadings:
        return VesselReadings(
            self.sensors, self.sensor_codes[which], self.at_us[which], self.gravity[which], self.temperature_c[which],
            None if self.inclination is None else self.inclination[which],
            None if self.unusable is None else self.unusable[which],
        )  # fmt: skip

    def within(self, from_us: int, before_us: int | None) -> VesselReadings:
        """Those with from_us ≤ at_us < before_us [µs], in their order; None: without end."""
        chosen = self.at_us >= from_us
        if before_us is not None:
            chosen &= self.at_us < before_us
        return self if chosen.all() else self[chosen]


_Column = TypeVar("_Column", bound=np.generic)


def _joined(
    columns: Sequence[NDArray[_Column] | None], parts: Sequence[VesselReadings], nothing: float
) -> NDArray[_Column] | None:
    """A column that a part may lack, filled up there with `nothing`; None where all of them do."""
    given = [column for column in columns if column is not None]
    if not given:
        return None
    return np.concatenate(
        [
            np.full(len(part), nothing, dtype=given[0].dtype) if column is None else column
            for column, part in zip(columns, parts, strict=True)
        ]
    )
