"""The plan of one invented batch: beer, cellar, sensor, and what the brewer does and writes down."""

from __future__ import annotations

from dataclasses import dataclass

from lullwort.records.batch import EventKind
from lullwort.rehearsal.beer import Beer
from lullwort.rehearsal.delivery import Delivery
from lullwort.rehearsal.logform import LogForm
from lullwort.rehearsal.sensor import Sensor
from lullwort.rehearsal.temperature import Cellar

__all__ = ["Done", "Plan", "Refill"]


@dataclass(frozen=True)
class Done:
    """Something the brewer does at `at_h` [h since pitch] and logs; `points` for additions only."""

    at_h: float
    kind: EventKind
    points: float | None = None


@dataclass(frozen=True, kw_only=True)
class Plan:
    """All that is drawn for one batch.

    Attributes:
        beer, cellar, sensor: what happens, what it happens in, and who watches.
        days:          [d] length of the log; longer where the oracle hour falls near its end.
        done:          what the brewer does and logs, in time order.
        added_end_points: [points] by which the brewer expects the end to rise through what was added.
        forced_test:   whether a forced ferment test was made; it shows the true end.
        yeast_attenuation: [share] that the brewer takes the yeast to have; None where the recipe is right.
        delivery:      what befalls the readings on their way into the log; None for nothing.
        refill:        another batch in the same vessel and log, of which the brewer enters nothing; None for none.
        log_form:      how the log is written; None for a readings file.
    """

    beer: Beer
    cellar: Cellar
    sensor: Sensor
    days: float
    done: tuple[Done, ...] = ()
    added_end_points: float = 0.0
    forced_test: bool = False
    yeast_attenuation: float | None = None
    delivery: Delivery | None = None
    refill: Refill | None = None
    log_form: LogForm | None = None

    @property
    def expected_points(self) -> float:
        """The end [points] that the brewer has reason to expect, without his own error."""
        if self.yeast_attenuation is not None:
            return self.beer.original_points * (1.0 - self.yeast_attenuation)
        return self.beer.end_points + self.added_end_points


@dataclass(frozen=True)
class Refill:
    """The next batch, `plan`, pitched `empty_h` [h, 1 or more] after the log of the first one ends, in silence."""

    empty_h: int
    plan: Plan
