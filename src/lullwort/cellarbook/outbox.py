"""Alerts on their way: kept from the moment something changes until each target has taken it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import msgspec

from lullwort.cellarbook.database import Database
from lullwort.records import Alert, Subject, key64

__all__ = ["Delivery", "DeliveryState", "Outbox", "Posted"]

_FORGOTTEN = "no longer among the targets"


class Delivery(NamedTuple):
    """An alert that is due at one target.

    Attributes:
        tries:    how often it has been tried.
        first_us: [µs] when it was due first.
    """

    alert: Alert
    target: str
    tries: int
    first_us: int


class DeliveryState(NamedTuple):
    """How far an alert has come with one target.

    Attributes:
        next_us: [µs] of the next try; None if there will be none.
        delivered_us: [µs]; None where it was not delivered.
        error:   of the last try; empty where none failed.
    """

    target: str
    tries: int
    next_us: int | None
    delivered_us: int | None
    error: str


class Posted(NamedTuple):
    """An alert and how far it has come, by target."""

    alert: Alert
    deliveries: tuple[DeliveryState, ...]


class Outbox:
    """The alerts of a book in the order in which they were put in; only their deliveries ever change."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def put(self, alerts: Sequence[Alert], targets: Sequence[str], due_us: int) -> int:
        """Keep alerts, to go to each of `targets` from `due_us` [µs] on, in one transaction; how many were new.

        An alert that is already the newest of its subject is not put in again. What still waits of a new one's subject
        becomes due with it, so that neither quiet hours nor the delay after a failed try hold back an urgent change.
        """
        put = 0
        with self._db.write():
            for alert in alerts:
                before = self._newest(alert.subject)
                if before is not None and before[1] == alert.key:
                    continue
                key = key64(f"{alert.key}", "" if before is None else f"{before[0]}")
                self._db.run(
                    "INSERT INTO alert VALUES (?, ?, ?, (SELECT coalesce(max(position), 0) + 1 FROM alert), ?, ?, ?)",
                    (key, *alert.subject, alert.urgent, alert.key, msgspec.json.encode(alert).decode()),
                )
                self._db.run_many(
                    "INSERT INTO delivery VALUES (?, ?, ?, 0, ?, NULL, '')",
                    [(key, target, due_us, due_us) for target in dict.fromkeys(targets)],
                )
                self._db.run(
                    "UPDATE delivery SET next_us = min(next_us, ?) WHERE next_us IS NOT NULL "
                    "AND alert IN (SELECT key FROM alert WHERE kind = ? AND about = ?)",
                    (due_us, *alert.subject),
                )
                put += 1
        return put

    def standing(self) -> dict[Subject, Alert]:
        """The newest alert of each subject: what people believe once all is delivered."""
        rows = self._db.rows(
            "SELECT entered FROM alert WHERE position IN (SELECT max(position) FROM alert GROUP BY kind, about) "
            "ORDER BY position"
        )
        alerts = [self._alert(entered) for (entered,) in rows]
        return {alert.subject: alert for alert in alerts}

    def due(self, now_us: int, limit: int) -> list[Delivery]:
        """What is to be tried at `now_us` [µs], at most `limit`: urgent ones first, then in the order put in.

        Of one subject a target is owed one alert at a time: the next is due when that has been delivered or given up.
        """
        rows = self._db.rows(
            "SELECT entered, target, tries, first_us FROM delivery_in_turn WHERE next_us <= ? "
            "ORDER BY urgent DESC, position, target LIMIT ?",
            (now_us, limit),
        )
        return [Delivery(self._alert(entered), *rest) for entered, *rest in rows]

    def delivered(self, alert: Alert, target: str, now_us: int) -> None:
        """The target took it at `now_us` [µs]. Does nothing if it was not in its turn."""
        self._settle(alert, target, "delivered_us = ?, next_us = NULL", now_us)

    def failed(self, alert: Alert, target: str, error: str, next_us: int | None) -> None:
        """A try failed; the next is due at `next_us` [µs], None: it is given up. Does nothing if not in its turn.

        Args:    error: why, for people; it is kept, so it must hold no secrets.
        """
        self._settle(alert, target, "error = ?, next_us = ?", error, next_us)

    def hasten(self, due_us: int) -> None:
        """Have all that waits be tried at `due_us` [µs], whatever the clock said when it was put off."""
        with self._db.write():
            self._db.run("UPDATE delivery SET next_us = ? WHERE next_us IS NOT NULL", (due_us,))

    def forget_targets(self, keep: Sequence[str]) -> int:
        """Give up what waits for targets other than `keep`; how many deliveries that were."""
        with self._db.write():
            waiting = self._db.rows("SELECT alert, target FROM delivery WHERE next_us IS NOT NULL")
            forgotten = [(key, target) for key, target in waiting if target not in keep]
            self._db.run_many(
                f"UPDATE delivery SET next_us = NULL, error = '{_FORGOTTEN}' WHERE alert = ? AND target = ?",
                forgotten,
            )
        return len(forgotten)

    def oldest_waiting_us(self) -> int | None:
        """[µs] when the longest waiting of all deliveries was due first; None if nothing waits."""
        return self._least("SELECT min(first_us) FROM delivery WHERE next_us IS NOT NULL")

    def next_due_us(self) -> int | None:
        """[µs] when something is to be tried next; None if nothing waits."""
        return self._least("SELECT min(next_us) FROM delivery_in_turn")

    def recent(self, limit: int) -> list[Posted]:
        """The newest alerts and how far they have come, newest first."""
        rows = self._db.rows("SELECT key, entered FROM alert ORDER BY position DESC LIMIT ?", (limit,))
        return [Posted(self._alert(entered), self._states(key)) for key, entered in rows]

    def _newest(self, subject: Subject) -> tuple[int, int] | None:
        """Key in the outbox and own key of a subject's newest alert."""
        rows = self._db.rows(
            "SELECT key, own_key FROM alert WHERE kind = ? AND about = ? ORDER BY position DESC LIMIT 1", subject
        )
        return rows[0] if rows else None

    def _settle(self, alert: Alert, target: str, change: str, *values: object) -> None:
        with self._db.write():
            self._db.run(
                f"UPDATE delivery SET tries = tries + 1, {change} WHERE target = ? AND alert IN "
                "(SELECT alert FROM delivery_in_turn WHERE own_key = ? AND target = ?)",
                (*values, target, alert.key, target),
            )

    def _states(self, key: int) -> tuple[DeliveryState, ...]:
        rows = self._db.rows(
            "SELECT target, tries, next_us, delivered_us, error FROM delivery WHERE alert = ? ORDER BY target", (key,)
        )
        return tuple(DeliveryState(*row) for row in rows)

    def _least(self, sql: str) -> int | None:
        ((found,),) = self._db.rows(sql)
        return None if found is None else int(found)

    def _alert(self, entered: str) -> Alert:
        try:
            return msgspec.json.decode(entered, type=Alert)
        except msgspec.DecodeError as exc:
            raise self._db.damage(exc) from exc
