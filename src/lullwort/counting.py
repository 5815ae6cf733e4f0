"""Numbers of things."""

from __future__ import annotations

__all__ = ["counted"]


def counted(number: int, one: str, many: str = "") -> str:
    """A number of things; not grouped by thousands, for a comma there is the decimal mark of many.

    Args:    many: how more than one, or none, are called, where that is not `one` with an s.

    >>> counted(1, "batch", "batches"), counted(1052, "batch", "batches"), counted(0, "row")
    ('1 batch', '1052 batches', '0 rows')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"
