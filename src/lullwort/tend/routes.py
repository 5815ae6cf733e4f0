"""Which form a message is read by, and what its topic says of it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from typing import NamedTuple

from lullwort.cellarbook import Intake
from lullwort.collector import SENML, BrokerSettings, Form, Packet, TopicTemplate, decode_packet, plain_reading
from lullwort.settings import Settings
from lullwort.tend.storing import Decoded, Plain

__all__ = ["Routes"]


_MOST_WAYS = 10_000


class _Way(NamedTuple):
    """How the messages of one topic or path are read."""

    form: Form
    named: dict[str, str]
    intake: Intake


@dataclass(frozen=True)
class Routes:
    """The way of each message, from the settings."""

    forms: dict[str, Form]
    vessel_of: dict[str, str]
    topics: list[tuple[TopicTemplate, Form]]
    broker: str
    """Host and port, as the place of what came through it."""
    _ways: dict[tuple[str, str, str], _Way] = field(default_factory=dict)

    @classmethod
    def of(cls, settings: Settings) -> Routes:
        """As the settings say."""
        broker = settings.broker or BrokerSettings()
        topics = [(TopicTemplate(t.topic), settings.forms[t.form] if t.form else SENML) for t in broker.topics]
        return cls(settings.forms, settings.vessel_of, topics, f"mqtt://{broker.host}:{broker.port}")

    def plain(self, packet: Packet) -> Plain | None:
        """The one reading of a message that is a plain SenML pack; None for any other, which `decode` reads."""
        way = self._way(packet)
        if way.form != SENML:
            return None
        reading = plain_reading(packet.payload, packet.received_us)
        if reading is None:
            return None
        vessel = self.vessel_of.get(reading.sensor) or way.named.get("vessel") or reading.sensor
        return Plain(way.intake, vessel, reading)

    def decode(self, packet: Packet) -> Decoded:
        """The readings of a message, and the import that they belong to."""
        way = self._way(packet)
        return Decoded(way.intake, decode_packet(packet, way.form, way.named, self.vessel_of))

    def _way(self, packet: Packet) -> _Way:
        key = packet.source, packet.place, packet.form
        way = self._ways.get(key)
        if way is None:
            way = self._found_way(packet)
            if len(self._ways) < _MOST_WAYS:
                self._ways[key] = way
        return way

    def _found_way(self, packet: Packet) -> _Way:
        form, named = self.forms.get(packet.form, SENML), {}
        for template, topic_form in self.topics if packet.source == "broker" else ():
            found = template.match(packet.place)
            if found is not None:
                form, named = topic_form, found
                break
        return _Way(form, named, self._intake(packet.source, form))

    def _intake(self, source: str, form: Form) -> Intake:
        place = self.broker if source == "broker" else source
        # It has no content that ends: what it is called stands for it, and the form for how it was understood.
        return Intake(source, place, hashlib.sha256(place.encode()).hexdigest(), form.understood, open_ended=True)
