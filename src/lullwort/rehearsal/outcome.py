"""What came of judging one batch: was any `ready` false, and how late was the true one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lullwort.records import Event
from lullwort.rehearsal.invented import Invented
from lullwort.rehearsal.methods import Call

__all__ = ["Outcome", "outcome_of"]

FALSE_ABOVE_POINTS = 2.0
EVENT_GRACE_H = 2.0
UNNOTED_GRACE_H = 24.0
"""[h] What nobody noted can only be seen in the log, and nobody packages on the day on which he has added something."""


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """One batch, judged. Hours are since pitch.

    Attributes:
        oracle_h:    when one who sees the truth would say ready; None if never.
        declared_h:  the first true `ready` that still stood after the brewer's last action. A brewer acts on
                     the first one: a later one, after a withdrawal, comes too late to be the delay.
        points_left: [points] truly left at `declared_h`.
        worst_points_left: [points] the most that was left at any moment a `ready` was given, or stood through
                     an action of the brewer; None if there was no `ready`.
        withdrawals: how often a `ready` was taken back without the brewer having done anything.
        unclear_h:   [h] under the verdict `unclear`.
    """

    kind: str
    seed: int
    oracle_h: float | None
    declared_h: float | None
    points_left: float | None
    worst_points_left: float | None
    withdrawals: int
    unclear_h: float

    @property
    def false_ready(self) -> bool:
        """Whether any `ready` came, or stood, with more than 2 points left."""
        return self.worst_points_left is not None and self.worst_points_left > FALSE_ABOVE_POINTS

    @property
    def over_one_point(self) -> bool:
        """Whether any `ready` came, or stood, with more than 1 point left."""
        return self.worst_points_left is not None and self.worst_points_left > 1.0

    @property
    def never_ready(self) -> bool:
        """Whether the beer was finished and no `ready` said so by the end of the log, nor a false one."""
        return self.oracle_h is not None and self.declared_h is None and not self.false_ready

    @property
    def delay_h(self) -> float | None:
        """Hours from the oracle hour to the true `ready`, negative if before it; None if false or never."""
        if self.oracle_h is None or self.declared_h is None or self.false_ready:
            return None
        return self.declared_h - self.oracle_h


def outcome_of(invented: Invented, calls: Sequence[Call], noted: Sequence[Event] | None = None) -> Outcome:
    """Hold the changes of verdict against the truth; what lies after the end of the log is left out.

    Args:    noted: events that the brewer told; None: all of them.
    """
    truth = invented.truth
    end_h = float(truth.hours[-1])
    hours = [invented.hour_of(call.at_us) for call in calls]
    event_hours = [invented.hour_of(event.at_us) for event in invented.batch.events]
    noted_hours = [invented.hour_of(event.at_us) for event in (invented.batch.events if noted is None else noted)]
    graces = {
        h: h + (EVENT_GRACE_H if any(abs(h - at_h) < 1.0 for at_h in noted_hours) else UNNOTED_GRACE_H)
        for h in truth.action_hours
    }
    last_action_h = max(truth.action_hours, default=0.0)
    worst: float | None = None
    declared_h: float | None = None
    withdrawals, unclear_h = 0, 0.0
    for call, from_h, until_h in zip(calls, hours, [*hours, end_h][1:], strict=True):
        if from_h > end_h:
            break
        if call.verdict == "unclear":
            unclear_h += min(until_h, end_h) - from_h
        if call.verdict != "ready":
            continue
        stood_through = [over_h for h, over_h in graces.items() if from_h < h and over_h < until_h]
        left_here = max(truth.points_left_at(h) for h in (from_h, *stood_through))
        worst = left_here if worst is None else max(worst, left_here)
        if until_h < end_h and not any(until_h - EVENT_GRACE_H <= h <= until_h for h in event_hours):
            withdrawals += 1
        if declared_h is None and left_here <= FALSE_ABOVE_POINTS and until_h > last_action_h + EVENT_GRACE_H:
            declared_h = max(from_h, last_action_h)
    return Outcome(
        kind=invented.kind,
        seed=invented.seed,
        oracle_h=invented.oracle_hour(),
        declared_h=declared_h,
        points_left=None if declared_h is None else truth.points_left_at(declared_h),
        worst_points_left=worst,
        withdrawals=withdrawals,
        unclear_h=unclear_h,
    )
