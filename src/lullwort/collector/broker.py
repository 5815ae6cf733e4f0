"""Messages from a broker: each acknowledged only after it is on disk, the session kept while this end is away."""

from __future__ import annotations

import contextlib
import logging
import socket
import ssl
import sys
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import msgspec

from lullwort.collector.arrival import Arrival, Outcome, Packet
from lullwort.collector.entries.keycheck import NotThatError, as_table, checked_keys, one_of, text, whole_number
from lullwort.collector.topics import TopicTemplate
from lullwort.errors import SourceError

if TYPE_CHECKING:
    from paho.mqtt.client import Client, MQTTMessage

__all__ = ["HERE", "BrokerLink", "BrokerSettings", "TopicSettings", "checked_broker"]

_LOG = logging.getLogger("lullwort.broker")

_FIRST_DELAY_S, _LONGEST_DELAY_S = 1, 60
_NEVER_EXPIRES_S = 0xFFFFFFFF
_AGAIN_AFTER_FAILURE_S = 5.0
_MOST_TOPICS = 10_000
HERE, GONE = b'{"status": "here"}', b'{"status": "gone"}'


class TopicSettings(msgspec.Struct, frozen=True):
    """A topic to listen to, and the name of the form by which its messages are read; empty: SenML packs."""

    topic: str
    form: str = ""


class BrokerSettings(msgspec.Struct, frozen=True, kw_only=True):
    """How the broker is reached; the password is never among it.

    Attributes:
        protocol: "3.1.1" or "5".
        ca_file: of the authority that signed the broker's certificate; None: those that the system trusts.
        keepalive_s: [s] after which a silent connection is tried, and after half as long again given up.
        verdict_topic, alert_topic: in which {vessel} stands for the vessel; status_topic: retained "here" or "gone".
    """

    host: str = "localhost"
    port: int = 1883
    protocol: str = "3.1.1"
    tls: bool = False
    ca_file: Path | None = None
    user: str | None = None
    password_file: Path | None = None
    client_id: str = "lullwort"
    keepalive_s: int = 30
    status_topic: str = "lullwort/status"
    verdict_topic: str = "lullwort/verdicts/{vessel}"
    alert_topic: str = "lullwort/alerts/{vessel}"
    topics: tuple[TopicSettings, ...] = (TopicSettings("lullwort/readings/{sensor}"),)


def checked_broker(where: str, entered: object) -> BrokerSettings:
    """The broker that these keys describe, which are the fields of `BrokerSettings`. Raises UsageError."""
    return BrokerSettings(**checked_keys(where, as_table(where, entered), _KEYS))


def _truth(value: Any) -> bool:
    if not isinstance(value, bool):
        raise NotThatError("true or false")
    return value


def _path(value: Any) -> Path:
    return Path(text(value)).expanduser()


def _some_text(value: Any) -> str:
    if not text(value):
        raise NotThatError("a text that is not empty")
    return str(value)


def _host(value: Any) -> str:
    host = _some_text(value)
    try:
        host.encode("idna")
    except UnicodeError:
        raise NotThatError('the name or the address of a machine, such as "localhost"') from None
    return host


def _topic(*names: str) -> Callable[[Any], str]:
    def check(value: Any) -> str:
        try:
            template = TopicTemplate(text(value))
        except NotThatError:
            raise
        except ValueError as exc:
            raise NotThatError(str(exc)) from None
        if not names and template.filter != template.text:
            raise NotThatError("a topic without braces")
        if not set(template.names) <= set(names):
            raise NotThatError(
                f"a topic in which only {' and '.join(f'{{{name}}}' for name in names)} stands in braces"
            )
        return template.text

    return check


def _topics(value: Any) -> tuple[TopicSettings, ...]:
    if not isinstance(value, list) or not value or not all(isinstance(v, dict) and "topic" in v for v in value):
        raise NotThatError('a list such as [{ topic = "cellar/{vessel}/sg", form = "bare-sg" }]')
    if any(set(entry) - {"topic", "form"} for entry in value):
        raise NotThatError("entries with the keys topic and form")
    return tuple(TopicSettings(_topic("sensor", "vessel")(v["topic"]), text(v.get("form", ""))) for v in value)


_KEYS = {
    "host": ("host", _host),
    "port": ("port", whole_number(1, 65_535, "")),
    "protocol": ("protocol", one_of(("3.1.1", "5"))),
    "tls": ("tls", _truth),
    "ca_file": ("ca_file", _path),
    "user": ("user", _some_text),
    "password_file": ("password_file", _path),
    "client_id": ("client_id", _some_text),
    "keepalive_s": ("keepalive_s", whole_number(2, 3600, " seconds")),
    "status_topic": ("status_topic", _topic()),
    "verdict_topic": ("verdict_topic", _topic("vessel")),
    "alert_topic": ("alert_topic", _topic("vessel")),
    "topics": ("topics", _topics),
}


class BrokerLink:
    """One connection, made and made again in a thread of its own."""

    def __init__(
        self,
        settings: BrokerSettings,
        password: str | None,
        hand_over: Callable[[Arrival], None],
        now_us: Callable[[], int],
        *,
        keep_session: bool = True,
        take_retained: bool = False,
        no_longer: Sequence[str] = (),
        delays_s: tuple[int, int] = (_FIRST_DELAY_S, _LONGEST_DELAY_S),
    ) -> None:
        """
        Args:   hand_over: takes each message; may block, which holds the broker back.
                keep_session: whether the broker keeps messages for this end while it is away, for ever.
                take_retained: whether what others had left there before is handed over: a value without a time of
                its own would seem new at every connection.
                no_longer: filters that were subscribed to before, in a session that the broker has kept.
                delays_s: [s] between tries to connect, the first and the longest; each is twice the one before.
        Raises: SourceError where the certificates cannot be used.
        """
        self.refused = ""
        """Why the broker cannot be reached, turned this end away or does not grant a topic; empty while it does."""
        self.last_message_us: int | None = None
        self._settings, self._hand_over, self._now_us = settings, hand_over, now_us
        self._templates = [TopicTemplate(topic.topic) for topic in settings.topics]
        self.filters: tuple[str, ...] = tuple(dict.fromkeys(template.filter for template in self._templates))
        self._no_longer = [each for each in no_longer if each not in self.filters]
        self._is_asked: dict[str, bool] = {}
        """By topic, for to match one takes as long as all else that is done with a message here."""
        self._connected, self._answered = threading.Event(), threading.Event()
        self._cut_at_s, self._cut_is_due = 0.0, False
        self._connection, self._lock = 0, threading.Lock()
        """Number of the connection. A message belongs to the one that it came over: on another its id may be that of
        another message, which would be lost if it was acknowledged."""
        self._keep_session, self._take_retained = keep_session, take_retained
        self._client = self._make_client(password, delays_s)

    def _make_client(self, password: str | None, delays_s: tuple[int, int]) -> Client:
        from paho.mqtt.client import Client, MQTTv5, MQTTv311
        from paho.mqtt.enums import CallbackAPIVersion

        settings, five = self._settings, self._settings.protocol == "5"
        client = Client(
            CallbackAPIVersion.VERSION2,
            client_id=settings.client_id,
            clean_session=None if five else not self._keep_session,
            protocol=MQTTv5 if five else MQTTv311,
            manual_ack=True,
        )
        if settings.user is not None:
            client.username_pw_set(settings.user, password)
        if settings.tls:
            try:
                client.tls_set_context(ssl.create_default_context(cafile=settings.ca_file))
            except (OSError, ssl.SSLError) as exc:
                raise SourceError(f"{settings.ca_file}: cannot be used as a certificate authority: {exc}") from exc
        client.will_set(settings.status_topic, GONE, qos=1, retain=True)
        client.reconnect_delay_set(*delays_s)
        client.on_connect = self._on_connect
        client.on_connect_fail = self._on_connect_fail
        client.on_disconnect = self._on_disconnect
        client.on_subscribe = self._on_subscribe
        client.on_message = self._on_message
        return client

    def start(self) -> None:
        """Begin to connect; a broker that is absent is waited for."""
        from paho.mqtt.packettypes import PacketTypes
        from paho.mqtt.properties import Properties

        settings = self._settings
        if settings.protocol == "5":
            properties: Any = cast("Any", Properties)(PacketTypes.CONNECT)
            properties.SessionExpiryInterval = _NEVER_EXPIRES_S if self._keep_session else 0
            self._client.connect_async(
                settings.host,
                settings.port,
                settings.keepalive_s,
                clean_start=not self._keep_session,
                properties=properties,
            )
        else:
            self._client.connect_async(settings.host, settings.port, settings.keepalive_s)
        self._client.loop_start()

    def stop(self, timeout_s: float) -> None:
        """Say good-bye and let go, each within `timeout_s` [s]. The session stays with the broker; what was not
        acknowledged comes again."""
        if self.connected:
            self.publish(self._settings.status_topic, GONE, retain=True, timeout_s=timeout_s)
        self._connected.clear()  # what comes now is meant, and no news
        self._client.disconnect()
        # The library waits for its thread, which may be waiting for a network that hangs.
        waiting = threading.Thread(target=self._client.loop_stop, daemon=True)
        waiting.start()
        waiting.join(timeout_s)

    @property
    def connected(self) -> bool:
        """Whether the broker has taken this end in."""
        return self._connected.is_set()

    def wait_connected(self, timeout_s: float) -> bool:
        """Whether that is so, and every topic granted, within `timeout_s` [s]; sooner where the broker refuses."""
        return self._answered.wait(timeout_s) and self.connected and not self.refused

    def publish(self, topic: str, payload: bytes, *, retain: bool, timeout_s: float) -> bool:
        """Send a message; True only after the broker has acknowledged it. With a timeout of 0 it is only sent."""
        if not self.connected:
            return False
        try:
            info = self._client.publish(topic, payload, qos=1, retain=retain)
            if timeout_s:
                info.wait_for_publish(timeout_s)
            return bool(info.is_published())
        except (RuntimeError, ValueError):
            return False

    # -- called in the thread of the connection; an error that left one of these would end it unseen ---------------

    def _on_connect(self, client: Client, _data: object, _flags: object, reason: Any, _properties: object) -> None:
        if reason.is_failure:
            self.refused = str(reason)
            self._answered.set()
            _LOG.error("the broker refuses", extra={"host": self._settings.host, "why": self.refused})
            return
        self.refused = ""
        if self._no_longer:
            client.unsubscribe(self._no_longer)
        if self.filters:
            client.subscribe([(each, 1) for each in self.filters])
        client.publish(self._settings.status_topic, HERE, qos=1, retain=True)
        self._connected.set()
        if not self.filters:
            self._answered.set()
        _LOG.info("connected", extra={"host": self._settings.host, "port": self._settings.port})

    def _on_subscribe(self, _client: Client, _data: object, _mid: int, reasons: Any, _properties: object) -> None:
        granted = zip(self.filters, reasons, strict=False)
        short = [f"{each} ({reason})" for each, reason in granted if reason.value != 1]
        if short:
            # A broker that grants less than QoS 1 keeps nothing for this end while it is away.
            self.refused = f"the broker does not grant at QoS 1: {', '.join(short)}"
            _LOG.error("topics are not granted", extra={"host": self._settings.host, "why": self.refused})
        self._answered.set()

    def _on_connect_fail(self, _client: Client, _data: object) -> None:
        exc = sys.exc_info()[1]  # the library calls this while it handles it, and tells nothing of it otherwise
        self.refused = "cannot be reached" if exc is None else f"cannot be reached: {exc}"
        self._answered.set()
        _LOG.info("the broker cannot be reached", extra={"host": self._settings.host, "why": self.refused})

    def _on_disconnect(self, _client: Client, _data: object, _flags: object, reason: Any, _properties: object) -> None:
        if self._connected.is_set():
            _LOG.warning("disconnected", extra={"host": self._settings.host, "why": str(reason)})
        self._connected.clear()
        with self._lock:
            self._connection += 1

    def _on_message(self, client: Client, _data: object, message: MQTTMessage) -> None:
        try:
            self.last_message_us = self._now_us()
            packet = Packet("broker", message.topic, bytes(message.payload), self.last_message_us)
            mid, qos, connection = message.mid, message.qos, self._connection
            if not self._asks_for(packet.place) or (message.retain and not self._take_retained):
                client.ack(mid, qos)
                return

            def settle(outcome: Outcome) -> None:
                with self._lock:
                    if connection != self._connection:
                        return  # it was sent again over the new one
                    if outcome.failed is None:
                        client.ack(mid, qos)
                if outcome.failed is not None:
                    self._have_sent_again()

            self._hand_over(Arrival(packet, settle))
        except Exception:  # noqa: BLE001 - whatever it is, it would end the thread of the client
            _LOG.exception("a message could not be handed over; it stays at the broker")
            self._have_sent_again()

    def _asks_for(self, topic: str) -> bool:
        """Whether the settings name it: a session that was kept still brings topics that they named once."""
        asked = self._is_asked.get(topic)
        if asked is None:
            asked = any(template.match(topic) is not None for template in self._templates)
            if len(self._is_asked) < _MOST_TOPICS:
                self._is_asked[topic] = asked
                if not asked:
                    _LOG.warning("a topic that the settings do not name is passed over", extra={"topic": topic})
        return asked

    def _have_sent_again(self) -> None:
        """A broker sends again only over a new connection [MQTT 4.4.0-1], so this one is cut, though not too often."""
        with self._lock:
            if self._cut_is_due:
                return
            self._cut_is_due = True
            wait_s = max(0.0, self._cut_at_s + _AGAIN_AFTER_FAILURE_S - time.monotonic())
        timer = threading.Timer(wait_s, self._cut)
        timer.daemon = True
        timer.start()

    def _cut(self) -> None:
        with self._lock:
            self._cut_at_s, self._cut_is_due = time.monotonic(), False
        wire = self._client.socket()
        if wire is not None:
            with contextlib.suppress(OSError):  # it is cut already
                socket.socket.shutdown(cast("socket.socket", wire), socket.SHUT_RDWR)
