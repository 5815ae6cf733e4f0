"""A message on its way from a source that sends them to the thread that keeps them."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from lullwort.records import SetAside

__all__ = ["Arrival", "Outcome", "Packet"]


class Packet(NamedTuple):
    """One message as a source handed it over.

    Attributes:
        source:  "broker" or "http".
        place:   topic or path, for people and for the topic's template.
        payload: as it came.
        received_us: [µs since 1970-01-01 UTC] when it arrived here.
        form:    name of the form by which it is to be read, where the source knows it; empty: as its topic says.
    """

    source: str
    place: str
    payload: bytes
    received_us: int
    form: str = ""


class Outcome(NamedTuple):
    """What became of a message: readings stored, what of it was set aside, or why it could not be stored at all.

    With `failed` set nothing of it is on disk and it stays its sender's.
    """

    stored: int
    set_aside: tuple[SetAside, ...]
    failed: str | None


class Arrival(NamedTuple):
    """A message, and whom to tell once it is on disk; `settle` is called exactly once, by the thread that keeps."""

    packet: Packet
    settle: Callable[[Outcome], None]
