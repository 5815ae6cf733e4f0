"""What a person is told once: that something is so now, or is so no longer."""

from __future__ import annotations

from typing import Literal, get_args

import msgspec

from lullwort.records.keys import key64

__all__ = ["ALERT_KINDS", "OF_A_MOMENT", "Alert", "AlertKind", "Subject"]

AlertKind = Literal[
    "ready", "stalled", "too cold", "too warm", "sensor silent", "sensor not believable", "battery low",
    "points left", "another batch", "sensor clock", "clock set", "gap in the service", "storage nearly full", "digest",
    "test",
]  # fmt: skip

ALERT_KINDS: tuple[AlertKind, ...] = get_args(AlertKind)

OF_A_MOMENT: tuple[AlertKind, ...] = ("digest", "test", "gap in the service", "points left", "clock set")
"""Kinds of what happened once, and is never over."""

Subject = tuple[str, str]
"""What is on or off: (kind, about) of an alert."""


class Alert(msgspec.Struct, frozen=True, kw_only=True):
    """One change of a subject, in the words in which it is told.

    Attributes:
        kind:   one of ALERT_KINDS.
        about:  id of the batch or sensor that it is about; empty for the service itself.
        on:     whether it is so now; False where it is so no longer: `ready` withdrawn, a sensor heard again.
        at_us:  [µs since 1970-01-01 UTC] since when.
        vessel, batch, sensor: ids, empty where there is none.
        urgent: goes out in quiet hours too.
        title:  one line.
        says:   what was seen, what it means and what to do, in plain text.
        data:   values behind it by name, for programs.

    >>> cold = Alert(kind="too cold", about="north-12", on=True, at_us=0, title="Too cold", says="14 °C.")
    >>> cold.subject
    ('too cold', 'north-12')
    >>> cold.key == Alert(kind="too cold", about="north-12", on=True, at_us=0, title="In", says="other words").key
    True
    """

    kind: AlertKind
    about: str
    on: bool
    at_us: int
    vessel: str = ""
    batch: str = ""
    sensor: str = ""
    urgent: bool = False
    title: str
    says: str
    data: dict[str, str | float | int | None] = {}

    @property
    def subject(self) -> Subject:
        """What is on or off."""
        return self.kind, self.about

    @property
    def key(self) -> int:
        """Signed 64-bit key: the same change of the same subject is the same alert, whatever its words."""
        return key64(self.kind, self.about, "on" if self.on else "off", f"{self.at_us}")
