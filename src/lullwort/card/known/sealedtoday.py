"""What a bottle closed today would come to, for whichever container is chosen: reckoned once for each."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import msgspec

from lullwort.detector import Judged, Units
from lullwort.packaging_day import NOTHING_ADDED, ROOM_C, Sealing, Today, limit_of, sealing_of, today_of
from lullwort.records import ContainerName
from lullwort.standing import sealed_says

__all__ = ["ClosedToday", "SealedToday", "sealed_today"]


class ClosedToday(NamedTuple):
    """In one container, with no sugar added.

    Attributes:
        judged:  the batch, as if that container were its own.
        sealing: None where no sums can be made.
    """

    judged: Judged
    today: Today
    sealing: Sealing | None

    def says(self, units: Units) -> str:
        """Points, carbon dioxide and pressure, or why they cannot be told."""
        return sealed_says(self.judged, self.today, self.sealing, units)

    @property
    def pressures(self) -> Sealing | None:
        """What there is to show temperature by temperature; None where that says nothing."""
        sealing = self.sealing
        return None if sealing is None or sealing.beyond_all or not sealing.limit.bears else sealing


@dataclass
class SealedToday:
    """A batch that may still be sealed. No unit is in it, and what was reckoned once stays."""

    judged: Judged
    today: Today
    _made: dict[ContainerName | None, ClosedToday] = field(default_factory=dict)

    def of(self, container: ContainerName | None) -> ClosedToday:
        """In this container; None: in the batch's own, with the limit that was stated for it."""
        if container == self.judged.batch.packaging_day.container:
            container = None
        if container not in self._made:
            self._made[container] = self._in(container)
        return self._made[container]

    def _in(self, container: ContainerName | None) -> ClosedToday:
        judged, sealing = self.judged, None
        if container is not None:
            day = msgspec.structs.replace(judged.batch.packaging_day, container=container, limit_bar=None)
            judged = judged._replace(batch=msgspec.structs.replace(judged.batch, packaging_day=day))
        if self.today.held is not None:
            limit = limit_of(judged.batch.packaging_day.container, judged.batch.packaging_day.limit_bar)
            sealing = sealing_of(self.today.held, self.today.left[:2], NOTHING_ADDED, limit)
        return ClosedToday(judged, self.today, sealing)


def sealed_today(judged: Judged) -> SealedToday | None:
    """Of a batch as it was judged; None where there is nothing to seal, or it is not known which beer it would be."""
    if judged.now.gravity is None or judged.now.split is not None or judged.verdict == "packaged":
        return None
    return SealedToday(judged, today_of(judged, assume_c=ROOM_C))
