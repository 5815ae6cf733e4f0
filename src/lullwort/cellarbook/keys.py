"""Keys as people see them."""

from __future__ import annotations

__all__ = ["import_name"]


def import_name(key: int) -> str:
    """Ten hex digits of an import's key.

    >>> import_name(-1)
    'ffffffffff'
    """
    return f"{key & 0xFFFFFFFFFFFFFFFF:016x}"[:10]
