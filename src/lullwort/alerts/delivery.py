"""Alerts out of the outbox to where they are wanted, tried again until they are taken."""

from __future__ import annotations

import logging
import threading
import urllib.error
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass, field
from http.client import HTTPException
from pathlib import Path

from lullwort.alerts.cloudevent import MEDIA_TYPE, cloud_event
from lullwort.alerts.push import push
from lullwort.alerts.quiet import Quiet
from lullwort.alerts.settings import AlertSettings
from lullwort.cellarbook import Delivery, Outbox
from lullwort.errors import BookError
from lullwort.records import Alert

__all__ = ["Deliverer", "Senders"]

_LOG = logging.getLogger("lullwort.alerts")

_FIRST_DELAY_US, _LONGEST_DELAY_US = 30 * 1_000_000, 3600 * 1_000_000
_MOST_TRIES = 7 + 7 * 24
"""Over a week, and more where it is hastened or quiet; counted, for the clock may be set meanwhile."""
_AT_ONCE = 20
_TIMEOUT_S = 10.0
_LOOK_S = 5.0


class _NoRedirect(urllib.request.HTTPRedirectHandler):
    """Another address was not asked for: it would get the token, and an empty request."""

    def redirect_request(self, *_: object, **__: object) -> None:
        return None


_OPENER = urllib.request.build_opener(_NoRedirect)


@dataclass
class Senders:
    """The ways out. Each gives why it failed, empty where it did not; no words of it hold a secret."""

    settings: AlertSettings
    source: str
    """A URI-reference that says which cellar this is."""
    publish: Callable[[Alert, bytes], bool] | None
    """Retained at the broker; True when it was taken. None where there is no broker."""
    _pushed: dict[int, set[str]] = field(default_factory=dict)
    """By the key of an alert that not all have taken: the addresses that have, which are not told again."""

    def targets(self) -> list[str]:
        """Where alerts go."""
        return self.settings.targets(with_broker=self.publish is not None)

    def send(self, target: str, alert: Alert) -> str:
        """Try once."""
        match target:
            case "push":
                return self._push(alert)
            case "webhook":
                return self._post(alert)
            case "broker" if self.publish is not None:
                return "" if self.publish(alert, cloud_event(alert, self.source)) else "the broker did not take it"
        return f"there is no way called {target}"

    def _push(self, alert: Alert) -> str:
        lines = [line.strip() for line in (_text(self.settings.push_file) or "").splitlines()]
        addresses = [line for line in lines if line and not line.startswith("#")]
        if not addresses:
            return f"no address can be read from {self.settings.push_file}"
        taken = self._pushed.setdefault(alert.key, set())
        failed = push([address for address in addresses if address not in taken], alert.title, alert.says)
        taken.update(address for address in addresses if address not in failed)
        if not failed:
            del self._pushed[alert.key]
        return "; ".join(f"address {addresses.index(address) + 1} {why}" for address, why in failed.items())

    def _post(self, alert: Alert) -> str:
        request = urllib.request.Request(self.settings.webhook or "", cloud_event(alert, self.source), method="POST")
        request.add_header("Content-Type", MEDIA_TYPE)
        if self.settings.webhook_token_file is not None:
            token = (_text(self.settings.webhook_token_file) or "").strip()
            if not token:
                return f"no token can be read from {self.settings.webhook_token_file}"
            request.add_header("Authorization", f"Bearer {token}")
        try:
            with _OPENER.open(request, timeout=_TIMEOUT_S):
                return ""
        except urllib.error.HTTPError as exc:
            return f"the webhook answered {exc.code}"
        except (OSError, ValueError, HTTPException) as exc:
            return f"the webhook cannot be reached: {type(exc).__name__}"


def _text(path: Path | None) -> str | None:
    """None where it cannot be read."""
    try:
        return None if path is None else path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return None


@dataclass
class Deliverer:
    """Empties the outbox, in a thread of its own with a book of its own."""

    senders: Senders
    quiet: Quiet
    now_us: Callable[[], int]
    waiting_us: int | None = None
    """[µs] since when the oldest undelivered alert has been waiting; None where none is, as last seen."""
    _taken: set[tuple[int, str]] = field(default_factory=set)
    """Alerts and targets that have them, of which the book does not know yet: they are not sent again."""
    _woken: threading.Event = field(default_factory=threading.Event)

    def wake(self) -> None:
        """There is something to deliver."""
        self._woken.set()

    def run(self, outbox: Outbox, stop: threading.Event) -> None:
        """Until told to stop; what was meant for ways out that are no longer wanted is forgotten."""
        begun = False
        while not stop.is_set():
            try:
                if not begun:
                    outbox.forget_targets(self.senders.targets())
                    outbox.hasten(self.now_us())
                    begun = True
                busy = self.round(outbox, stop) > 0
                self.waiting_us = outbox.oldest_waiting_us()
            except BookError as exc:
                _LOG.error("the outbox cannot be read or written", extra={"why": str(exc)})
                busy = False
            if not busy:
                self._woken.wait(_LOOK_S)
                self._woken.clear()

    def round(self, outbox: Outbox, stop: threading.Event) -> int:
        """Try what is due; how many that was."""
        due = outbox.due(self.now_us(), _AT_ONCE)
        for delivery in due:
            if stop.is_set():
                break
            self._try(outbox, delivery)
        return len(due)

    def _try(self, outbox: Outbox, delivery: Delivery) -> None:
        alert, target = delivery.alert, delivery.target
        now_us = self.now_us()
        allowed_us = now_us if alert.urgent or target == "broker" else self.quiet.over_us(now_us)
        if allowed_us > now_us:
            outbox.failed(alert, target, "quiet hours", allowed_us)
            return
        why = "" if (alert.key, target) in self._taken else self.senders.send(target, alert)
        if not why:
            self._taken.add((alert.key, target))
            outbox.delivered(alert, target, self.now_us())
            self._taken.discard((alert.key, target))
            _LOG.info("delivered", extra={"kind": alert.kind, "about": alert.about, "target": target})
            return
        given_up = not alert.urgent and delivery.tries >= _MOST_TRIES
        delay_us = min(_FIRST_DELAY_US << min(delivery.tries, 20), _LONGEST_DELAY_US)
        outbox.failed(alert, target, why, None if given_up else now_us + delay_us)
        _LOG.warning("not delivered", extra={"kind": alert.kind, "about": alert.about, "target": target, "why": why})
