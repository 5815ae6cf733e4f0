"""What is in the bottles of a batch's page: by the priming that went in, or else by the target that was chosen."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.detector import Judged
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day.addedgas import gas_of_priming, gas_to_target, priming_kind
from lullwort.packaging_day.containers import Limit, limit_of
from lullwort.packaging_day.held import Held, held_stated
from lullwort.packaging_day.moved import moved_of
from lullwort.packaging_day.priming import Priming, priming_for
from lullwort.packaging_day.sealing import Sealing, sealing_of
from lullwort.packaging_day.today import Today, today_of
from lullwort.records import Batch

__all__ = ["Closed", "closed_of"]


_NOTHING_LEFT = (0.0, 0.0)


class Closed(NamedTuple):
    """What the batch is closed in and comes to there.

    Attributes:
        limit:   of the container; of the usual kind where none was named.
        held:    in the beer before it was primed; None where no sums can be made.
        sealing: once all has fermented; None where nothing was put in or meant, where no sums can be made, and where
                 `too_much` says that they lie beyond any bottle.
        by_target: whether that is by the target, for nothing has been put in yet.
        alone:   what the priming that went in alone comes to, where it is not known what the beer holds.
        to_prime: of the sugar that was chosen, what comes to the target; None where one of both was not, where it was
                 put in already, where the beer was not proved to have ended or came to rest in a sealed vessel, whose
                 gauge must tell first, and where the target is more than the container takes.
        target_exceeds: whether it is that.
    """

    limit: Limit
    held: Held | None
    sealing: Sealing | None
    by_target: bool
    too_much: bool
    alone: Sealing | None = None
    to_prime: Priming | None = None
    target_exceeds: bool = False

    @property
    def exceeds(self) -> bool:
        """Whether it is more than the container bears at room temperature, not at its upper end alone."""
        least = self.alone if self.sealing is None else self.sealing
        return self.too_much or (least is not None and not self.limit.takes(least.about_g_l))

    @property
    def by_gauge(self) -> bool:
        """Whether the gauge of its sealed vessel must tell what the beer holds before it is primed."""
        return self.held is not None and self.held.by_pressure

    @property
    def may_exceed(self) -> bool:
        """Whether the priming may be too much at its upper end, though the target is not."""
        return self.to_prime is not None and self.to_prime.may_exceed(self.limit)


def closed_of(batch: Batch, judged: Judged, *, proved: bool) -> Closed:
    """Of a batch as it was judged, before its packaging where it has been packaged.

    Args:    proved: whether the target may be reckoned with where nothing has been put in.
    """
    judged = judged.before_packaging
    day = batch.packaging_day
    limit, today = limit_of(day.container, day.limit_bar), today_of(judged)
    by_target = day.primed_g is None
    if not limit.bears or (by_target and (day.target_g_l is None or not proved)):
        return Closed(limit, today.held, None, by_target, False)
    if today.held is None:
        return _alone(batch, judged, today, limit)
    try:
        added = _added(batch, judged, today, today.held)
    except OutOfRangeError:
        return Closed(limit, today.held, None, by_target, True)
    if added is None:
        return Closed(limit, today.held, None, by_target, False)
    sealing = sealing_of(today.held, today.left[:2], added, limit)
    too_much = sealing is None or sealing.beyond_all
    closed = Closed(limit, today.held, None if too_much else sealing, by_target, too_much)
    if not by_target or too_much or day.target_g_l is None:
        return closed
    if not limit.takes(day.target_g_l):
        return closed._replace(target_exceeds=True)
    return closed if closed.by_gauge else closed._replace(to_prime=_to_prime(batch, judged, today, today.held))


def _alone(batch: Batch, judged: Judged, today: Today, limit: Limit) -> Closed:
    """Where it is not known what the beer holds: by what was put in, if anything was, as if it held nothing."""
    by_target = batch.packaging_day.primed_g is None
    known = Closed(limit, None, None, by_target, today.unsaid in ("lag", "main fall") and not by_target)
    if by_target or known.too_much:
        return known
    try:
        added = _added(batch, judged, today, held_stated(0.0))
    except OutOfRangeError:
        return known._replace(too_much=True)
    if added is None:
        return known
    alone = sealing_of(held_stated(0.0), _NOTHING_LEFT, added, limit)
    if alone is None or alone.beyond_all:
        return known._replace(too_much=True)
    return known._replace(alone=alone)


def _added(batch: Batch, judged: Judged, today: Today, held: Held) -> tuple[float, float] | None:
    day, moved = batch.packaging_day, moved_of(batch)
    if day.primed_g is None:
        assert day.target_g_l is not None
        return gas_to_target(day.target_g_l, held, today.left)
    kind = None if day.sugar is None else priming_kind(day.sugar, judged)
    return None if kind is None or moved is None else gas_of_priming(kind, day.primed_g, moved, held)


def _to_prime(batch: Batch, judged: Judged, today: Today, held: Held) -> Priming | None:
    day, moved = batch.packaging_day, moved_of(batch)
    kind = None if day.sugar is None else priming_kind(day.sugar, judged)
    if kind is None or moved is None or day.target_g_l is None:
        return None
    try:
        return priming_for(kind, moved, held, today.left[:2], day.target_g_l)
    except OutOfRangeError:
        return None
