"""The step from book version 4 to version 5: which alerts somebody has seen, and when they said so."""

from __future__ import annotations

import sqlite3

__all__ = ["seen_tables"]

_NEW = (
    # Of one alert in the outbox, not of its subject: when it is so again, that is another one, which nobody has seen.
    "CREATE TABLE seen (alert INTEGER PRIMARY KEY, seen_us INTEGER NOT NULL) STRICT",
)


def seen_tables(connection: sqlite3.Connection) -> None:
    """Turn a book of version 4 into one of version 5, inside a transaction: nothing in it changes, a table joins."""
    for statement in _NEW:
        connection.execute(statement)
