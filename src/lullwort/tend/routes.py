"""Which form a message is read by, and what its topic says of it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from lullwort.cellarbook import Intake
from lullwort.collector import SENML, BrokerSettings, Form, Packet, TopicTemplate, decode_packet
from lullwort.settings import Settings
from lullwort.tend.storing import Decoded

__all__ = ["Routes"]


@dataclass(frozen=True)
class Routes:
    """The way of each message, from the settings."""

    forms: dict[str, Form]
    vessel_of: dict[str, str]
    topics: list[tuple[TopicTemplate, Form]]
    broker: str
    """Host and port, as the place of what came through it."""

    @classmethod
    def of(cls, settings: Settings) -> Routes:
        """As the settings say."""
        broker = settings.broker or BrokerSettings()
        topics = [(TopicTemplate(t.topic), settings.forms[t.form] if t.form else SENML) for t in broker.topics]
        return cls(settings.forms, settings.vessel_of, topics, f"mqtt://{broker.host}:{broker.port}")

    def decode(self, packet: Packet) -> Decoded:
        """The readings of a message, and the import that they belong to."""
        form, named = self.forms.get(packet.form, SENML), {}
        for template, topic_form in self.topics if packet.source == "broker" else ():
            found = template.match(packet.place)
            if found is not None:
                form, named = topic_form, found
                break
        return Decoded(self._intake(packet.source, form), decode_packet(packet, form, named, self.vessel_of))

    def _intake(self, source: str, form: Form) -> Intake:
        place = self.broker if source == "broker" else source
        # It has no content that ends: what it is called stands for it, and the form for how it was understood.
        return Intake(source, place, hashlib.sha256(place.encode()).hexdigest(), form.understood, open_ended=True)
