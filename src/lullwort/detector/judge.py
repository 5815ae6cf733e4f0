"""A batch judged from its readings, in whatever order they are given."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import msgspec

from lullwort.analysis import hour_end, settled_gravities
from lullwort.detector.batchjudge import BatchJudge, Change
from lullwort.detector.snapshot import Snapshot, Verdict
from lullwort.records import HOUR_US, Batch, VesselReadings

__all__ = ["Judged", "done_to_us", "judge", "judged_so_far", "judging"]


class Judged(NamedTuple):
    """The whole history of one batch up to `as_of_us` [µs], and what stands now.

    `used` and `passed_over` count its readings, `conflicts` the instants left out because they contradict.
    """

    batch: Batch
    as_of_us: int
    history: list[Change]
    now: Snapshot
    used: int
    passed_over: Counter[str]
    conflicts: int

    @property
    def verdict(self) -> Verdict:
        """The verdict that stands."""
        return self.history[-1].verdict if self.history else "unclear"

    @property
    def ready_us(self) -> int | None:
        """Since when [µs] `ready` has stood; None if it does not."""
        return self.history[-1].at_us if self.verdict == "ready" else None

    @property
    def since_us(self) -> int | None:
        """Since when [µs] the verdict has stood, for people; None before there is one."""
        return self.told_as_of(self.history[-1]) if self.history else None

    def told_as_of(self, change: Change) -> int:
        """[µs] When a change came, for people: a packaging when it was done, all else at the end of its hour."""
        packaged_us = self.batch.packaged_us if change.verdict == "packaged" else None
        return change.at_us if packaged_us is None else packaged_us

    def told_by(self, now_us: int) -> Judged:
        """The same for people at `now_us` [µs]: judging may end with the hour that still runs, but nobody is told of a
        moment that has not come. Only what is told is changed, so it is no ground for judging or foreseeing."""

        def told(at_us: int) -> int:
            return now_us if now_us < at_us <= hour_end(now_us) else at_us

        def seen(snapshot: Snapshot) -> Snapshot:
            since_us = {check: told(at_us) for check, at_us in snapshot.since_us.items()}
            interrupted_us = None if snapshot.interrupted_us is None else told(snapshot.interrupted_us)
            return msgspec.structs.replace(
                snapshot,
                since_us=since_us,
                restarted_us=told(snapshot.restarted_us),
                interrupted_us=interrupted_us,
            )

        if told(self.as_of_us) == self.as_of_us:
            return self
        history = [
            msgspec.structs.replace(change, at_us=told(change.at_us), seen=seen(change.seen)) for change in self.history
        ]
        return self._replace(as_of_us=now_us, history=history, now=seen(self.now))

    @property
    def before_packaging(self) -> Judged:
        """What was known of a packaged batch when it was packaged, and what stood until then; of others itself."""
        if self.verdict != "packaged":
            return self
        return self._replace(history=self.history[:-1], now=self.history[-1].seen)

    @property
    def proved(self) -> bool:
        """Whether it may be packaged, or might when it was: `ready` stands, or stood until then."""
        return self.before_packaging.verdict == "ready"


def judge(
    batch: Batch, readings: VesselReadings, *, as_of_us: int | None = None, until_us: int | None = None
) -> Judged:
    """Judge a batch from its readings in any order.

    Args:
        readings: of the batch's vessel; those outside its time are left out.
        as_of_us: [µs] judge as if it were this instant; default the newest reading, or the newest thing done after
            its hour.
        until_us: [µs] end of the batch's ownership of the vessel, None while open.
    """
    settled = settled_gravities(batch, readings)
    if as_of_us is None:
        as_of_us = _newest_us(batch, settled.readings)
    (streaming,) = judging(batch, settled.readings, (as_of_us,), until_us)
    return judged_so_far(streaming, as_of_us, settled.conflicts)


def _newest_us(batch: Batch, readings: VesselReadings) -> int:
    """[µs] When the newest was heard of the batch, or done to it: what was noted after the log's end counts, too.

    A remark does nothing to it: one written later does not have the beer judged through hours without a reading.
    """
    read_us = int(readings.at_us.max()) if len(readings) else batch.pitched_us
    done_us = done_to_us(batch, read_us)
    return read_us if done_us is None else done_us


def done_to_us(batch: Batch, read_us: int, by_us: int | None = None) -> int | None:
    """[µs] End of the hour of the newest that was done to a batch after that of its newest reading; None where nothing
    was: a sensor that goes on closes the hour of what was done by itself.

    Args: read_us: [µs] of that reading, or of the pitch.
          by_us: [µs] what is dated later has not been done yet; None: all has.
    """
    done = (e.at_us for e in batch.events if e.kind != "remark" and (by_us is None or e.at_us <= by_us))
    done_us = max(done, default=read_us)
    return None if done_us < hour_end(read_us) else hour_end(done_us)


def judging(
    batch: Batch, readings: VesselReadings, stops_us: Sequence[int], until_us: int | None = None
) -> Iterator[BatchJudge]:
    """The judge of a batch, stopped at each of `stops_us` [µs]: one object, which goes on from there when the next is
    asked for.

    Args:    readings: `settled_gravities`, in order of time; stops_us: in order of time, not before the pitch.
    """
    streaming, from_us = BatchJudge(batch, until_us), batch.pitched_us
    for stop_us in stops_us:
        streaming.add(readings.within(from_us, stop_us))
        streaming.advance(stop_us)
        yield streaming
        from_us = stop_us


def judged_so_far(streaming: BatchJudge, as_of_us: int, conflicts: int) -> Judged:
    """What `streaming` has come to when it has been advanced to `as_of_us` [µs]; changes nothing in it."""
    return Judged(
        streaming.batch,
        as_of_us,
        list(streaming.history),
        streaming.snapshot(as_of_us // HOUR_US * HOUR_US),
        streaming.watch.used,
        streaming.watch.passed_over.copy(),
        conflicts,
    )
