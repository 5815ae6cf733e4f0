"""Keys made from content, never from counters: two books that hold the same agree on every key."""

from __future__ import annotations

import hashlib

__all__ = ["import_name", "key64"]


def key64(*parts: str) -> int:
    """Signed 64-bit key of some texts: the first eight bytes of their SHA-256.

    >>> key64("north") == key64("north"), key64("a", "b") == key64("ab")
    (True, False)
    """
    joined = "\x1f".join(parts).encode()
    return int.from_bytes(hashlib.sha256(joined).digest()[:8], "big", signed=True)


def import_name(key: int) -> str:
    """Ten hex digits of an import's key.

    >>> import_name(-1)
    'ffffffffff'
    """
    return f"{key & 0xFFFFFFFFFFFFFFFF:016x}"[:10]
