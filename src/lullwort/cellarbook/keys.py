"""Keys as people see them."""

from __future__ import annotations

__all__ = ["key_name"]


def key_name(key: int) -> str:
    """The first ten hex digits of a key: what people call an import by, or an alert.

    >>> key_name(-1)
    'ffffffffff'
    """
    return f"{key & 0xFFFFFFFFFFFFFFFF:016x}"[:10]
