"""What the check-list goes by: how a batch is packaged, and what follows of that for its priming."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.detector import Verdict
from lullwort.packaging_day.bottling import Filling
from lullwort.packaging_day.containers import CONTAINERS
from lullwort.packaging_day.danger import Danger
from lullwort.packaging_day.moved import Moved
from lullwort.records import ContainerName, SugarName

__all__ = ["Circumstances"]


class Circumstances(NamedTuple):
    """Of a batch that is to be packaged, or is.

    Attributes:
        batch:      the batch's name.
        verdict:    as it stands.
        container:  what the beer is closed in.
        crash_days: how many days it is cold before, 0: it is not chilled.
        cold:       whether it is cold already.
        pressed:    whether its vessel is sealed.
        moved, filling: how much beer, and in which bottles; None where not known.
        sugar:      with what it is primed; None where nobody said.
        priming_g:  [g] of it; None where that is not known. Nothing is said of it unless the verdict is ready.
        over_limit: whether the target is more than the container bears; no weight is told then.
        may_exceed: whether what is weighed may be more at its upper end.
        danger:     of what is filled or primed already; None where nothing is.
        put_in_g:   [g] that it was primed with already; None where it was not.
        holds_to_c: [°C] up to which its bottles bear what comes of it at most; None where that is not known.
    """

    batch: str
    verdict: Verdict
    container: ContainerName
    crash_days: int = 0
    cold: bool = False
    pressed: bool = False
    moved: Moved | None = None
    filling: Filling | None = None
    sugar: SugarName | None = None
    priming_g: float | None = None
    over_limit: bool = False
    may_exceed: bool = False
    danger: Danger | None = None
    put_in_g: float | None = None
    holds_to_c: float | None = None

    @property
    def ready(self) -> bool:
        """Whether it may be packaged."""
        return self.verdict == "ready"

    @property
    def primed(self) -> bool:
        """Whether it is primed: bottles are; a keg where a sugar is named; never what is under pressure already."""
        if self.pressed or CONTAINERS[self.container].volumes is None:
            return False
        return self.container != "keg" or self.sugar is not None

    @property
    def to_prime(self) -> bool:
        """Whether priming has yet to go in: not where it is in, none is wanted, or no weight is told of too much."""
        if not self.primed or self.put_in_g:
            return False
        return not self.ready or not (self.over_limit or (self.priming_g is not None and self.priming_g <= 0.0))
