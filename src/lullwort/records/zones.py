"""Time zones by their names: the one place that tells which there are."""

from __future__ import annotations

from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

__all__ = ["ZONE_NAME", "zone_info"]

ZONE_NAME = "a time zone such as Europe/Berlin or UTC"
"""What a zone may be, in words: an IANA name."""


def zone_info(name: str) -> ZoneInfo:
    """The zone of this IANA name, else ValueError that says what one is.

    >>> zone_info("Europe/Berlin").key
    'Europe/Berlin'
    >>> zone_info("Middle/Earth")
    Traceback (most recent call last):
    ValueError: 'Middle/Earth' is not a time zone such as Europe/Berlin or UTC
    """
    try:
        return ZoneInfo(name)
    # A name such as "../x" or "Europe" is no key, and on some systems a folder.
    except (ZoneInfoNotFoundError, ValueError, OSError) as exc:
        raise ValueError(f"{name!r} is not {ZONE_NAME}") from exc
