"""The step from book version 3 to version 4: the brewer's instruments, and what is known of the sensors."""

from __future__ import annotations

import sqlite3

__all__ = ["equipment_tables"]

_NEW = (
    "CREATE TABLE instrument (key INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, entered TEXT NOT NULL) STRICT",
    "CREATE TABLE sensor (key INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, entered TEXT NOT NULL) STRICT",
)


def equipment_tables(connection: sqlite3.Connection) -> None:
    """Turn a book of version 3 into one of version 4, inside a transaction: nothing in it changes, two tables join."""
    for statement in _NEW:
        connection.execute(statement)
