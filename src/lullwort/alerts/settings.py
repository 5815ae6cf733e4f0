"""Where alerts go and when they may: the table [alerts] of the settings."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import msgspec

from lullwort.alerts.quiet import parse_span, parse_time_of_day
from lullwort.collector.entries.keycheck import NotThatError, as_table, checked_keys, text

__all__ = ["TOLD_TO_NOBODY", "AlertSettings", "checked_alerts"]

TOLD_TO_NOBODY = (
    "Shown here only: no alert leaves this machine. To be told elsewhere, set push_file or webhook below [alerts] in "
    "the settings, or name a [broker] that others listen to."
)
"""Of settings that name no target."""


class AlertSettings(msgspec.Struct, frozen=True, kw_only=True):
    """What of it is stated; addresses may hold secrets and are never shown.

    Attributes:
        push_file: a file with an apprise address a line.
        webhook:   an http or https address that takes CloudEvents; webhook_token_file: its bearer token.
        broker:    whether alerts are kept at the broker, too, where there is one.
        quiet:     minutes of the day, from and to, in which only what is urgent goes out.
        digest:    minute of the day at which a word comes even when nothing is wrong; None: none.
        points_left: [points] each is told when no more than that is left.
        battery_v: [V] below which a battery is low. battery_percent: [%] likewise.
    """

    push_file: Path | None = None
    webhook: str | None = None
    webhook_token_file: Path | None = None
    broker: bool = True
    quiet: tuple[int, int] | None = None
    digest: int | None = None
    points_left: tuple[float, ...] = ()
    battery_v: float = 3.4
    battery_percent: float = 15.0

    def targets(self, *, with_broker: bool) -> list[str]:
        """Names of where alerts go, without anything secret.

        Args:    with_broker: whether there is one at all.
        """
        at_broker = self.broker and with_broker
        chosen = {"push": self.push_file is not None, "webhook": self.webhook is not None, "broker": at_broker}
        return [name for name, wanted in chosen.items() if wanted]


def checked_alerts(where: str, entered: object) -> AlertSettings:
    """The settings that these keys describe, which are the fields of `AlertSettings`. Raises UsageError."""
    return AlertSettings(**checked_keys(where, as_table(where, entered), _KEYS))


def _path(value: Any) -> Path:
    return Path(text(value)).expanduser()


def _address(value: Any) -> str:
    expected = NotThatError("an address such as https://example.org/lullwort", secret=True)
    if not re.fullmatch(r"https?://[^\s/]+\S*", text(value)):
        raise expected
    try:
        if urlsplit(value).port == 0:
            raise expected
    except ValueError:
        raise expected from None
    return str(value)


def _truth(value: Any) -> bool:
    if not isinstance(value, bool):
        raise NotThatError("true or false")
    return value


def _span(value: Any) -> tuple[int, int]:
    try:
        return parse_span(text(value))
    except ValueError:
        raise NotThatError('two times of day such as "22:00-07:00"') from None


def _time_of_day(value: Any) -> int:
    try:
        return parse_time_of_day(text(value))
    except ValueError:
        raise NotThatError('a time of day such as "08:00"') from None


def _positive(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value < 1000.0:
        raise NotThatError("a number above 0")
    return float(value)


def _points(value: Any) -> tuple[float, ...]:
    if not isinstance(value, list):
        raise NotThatError("a list of gravity points such as [5]")
    return tuple(_positive(each) for each in value)


_KEYS = {
    "push_file": ("push_file", _path),
    "webhook": ("webhook", _address),
    "webhook_token_file": ("webhook_token_file", _path),
    "broker": ("broker", _truth),
    "quiet": ("quiet", _span),
    "digest": ("digest", _time_of_day),
    "points_left": ("points_left", _points),
    "battery_v": ("battery_v", _positive),
    "battery_percent": ("battery_percent", _positive),
}
