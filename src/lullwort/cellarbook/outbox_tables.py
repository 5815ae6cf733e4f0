"""The step from book version 2 to version 3: what a person is to be told, and whether it has gone out."""

from __future__ import annotations

import sqlite3

__all__ = ["outbox_tables"]

_NEW = (
    # The key is the alert's own and that of the alert of its subject before it: a batch may become ready, be found not
    # to be, and be ready since that same hour after all. The position is the order in which alerts were put in.
    """CREATE TABLE alert (
        key INTEGER PRIMARY KEY, kind TEXT NOT NULL, about TEXT NOT NULL, position INTEGER NOT NULL,
        urgent INTEGER NOT NULL, own_key INTEGER NOT NULL, entered TEXT NOT NULL
    ) STRICT""",
    "CREATE UNIQUE INDEX alert_by_subject ON alert (kind, about, position)",
    "CREATE UNIQUE INDEX alert_by_position ON alert (position)",
    # Waiting while it has a next try; without one it was delivered, or given up.
    """CREATE TABLE delivery (
        alert INTEGER NOT NULL, target TEXT NOT NULL, first_us INTEGER NOT NULL, tries INTEGER NOT NULL,
        next_us INTEGER, delivered_us INTEGER, error TEXT NOT NULL, PRIMARY KEY (alert, target)
    ) STRICT, WITHOUT ROWID""",
    "CREATE INDEX delivery_waiting ON delivery (next_us) WHERE next_us IS NOT NULL",
    # Of one subject the alerts reach a target in their order, or the last one heard would not be what is so.
    """CREATE VIEW delivery_in_turn AS
        SELECT d.alert, d.target, d.first_us, d.tries, d.next_us, a.position, a.urgent, a.own_key, a.entered
        FROM delivery d JOIN alert a ON a.key = d.alert
        WHERE d.next_us IS NOT NULL AND NOT EXISTS (
            SELECT 1 FROM alert b JOIN delivery e ON e.alert = b.key
            WHERE b.kind = a.kind AND b.about = a.about AND b.position < a.position
                AND e.target = d.target AND e.next_us IS NOT NULL)""",
)


def outbox_tables(connection: sqlite3.Connection) -> None:
    """Turn a book of version 2 into one of version 3, inside a transaction: nothing in it changes, two tables join."""
    for statement in _NEW:
        connection.execute(statement)
