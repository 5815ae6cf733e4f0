"""Alerts on their way: kept from the moment something changes until each target has taken it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import msgspec

from lullwort.cellarbook.database import Database
from lullwort.cellarbook.keys import key_name
from lullwort.errors import RefusedError
from lullwort.records import OF_A_MOMENT, Alert, Subject, key64

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
    """An alert on record.

    Attributes:
        deliveries: how far it has come, by target.
        name:    what people call it by, the first ten digits of its key in the outbox.
        seen_us: [µs] when somebody said that they had seen it; None while nobody has.
    """

    alert: Alert
    deliveries: tuple[DeliveryState, ...]
    name: str
    seen_us: int | None = None


class Outbox:
    """The alerts of a book in the order in which they were put in; only their deliveries ever change.

    That somebody has seen one is put down beside it, once, and holds no delivery back.
    """

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
        return self._posted("ORDER BY position DESC LIMIT ?", limit)

    def standing_on(self) -> list[Posted]:
        """Of each subject that is on, and not of a moment, its newest alert; newest first."""
        newest = "WHERE position IN (SELECT max(position) FROM alert GROUP BY kind, about) ORDER BY position DESC"
        return [one for one in self._posted(newest) if one.alert.on and one.alert.kind not in OF_A_MOMENT]

    def see(self, name: str, now_us: int) -> Posted:
        """Put down that somebody had seen an alert at `now_us` [µs]; of one that was seen before the moment stays.

        Args:    name: its ten digits, or enough of them. Raises RefusedError if none or several fit.
        """
        wanted = name.strip().lower()
        fitting = [key for (key,) in self._db.rows("SELECT key FROM alert") if key_name(key).startswith(wanted)]
        if not wanted or not fitting:
            raise RefusedError(f"no alert is called {name!r}; `lullwort alerts` lists them")
        if len(fitting) > 1:
            names = ", ".join(sorted(map(key_name, fitting)))
            raise RefusedError(f"{name!r} fits several alerts ({names}); give more digits")
        with self._db.write():
            self._db.run("INSERT OR IGNORE INTO seen VALUES (?, ?)", (fitting[0], now_us))
        (seen,) = self._posted("WHERE key = ?", fitting[0])
        return seen

    def _posted(self, which: str, *values: object) -> list[Posted]:
        rows = self._db.rows(
            f"SELECT key, entered, seen_us FROM alert LEFT JOIN seen ON seen.alert = alert.key {which}", values
        )
        return [
            Posted(self._alert(entered), self._states(key), key_name(key), seen_us) for key, entered, seen_us in rows
        ]

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
