"""How the service does, for people and for programs that watch it."""

from __future__ import annotations

import msgspec

__all__ = ["Health", "as_json", "as_metrics"]


class Health(msgspec.Struct, frozen=True, kw_only=True):
    """One moment of the service.

    Attributes:
        up_s:     [s] since it started.
        failing:  why nothing can be stored; empty while it can.
        broker_connected: None where there is no broker.
        queue_length, queue_limit: messages that wait to be stored.
        messages, readings, set_aside, failed: since the start; `failed` are messages left with their sender.
        reading_age_s: [s] by sensor, of its newest reading.
        verdicts: by batch.
        outbox_age_s: [s] for which the oldest undelivered alert waits; 0 where none does.
    """

    up_s: float
    failing: str
    broker_connected: bool | None
    queue_length: int
    queue_limit: int
    messages: int
    readings: int
    set_aside: int
    failed: int
    reading_age_s: dict[str, float]
    verdicts: dict[str, str]
    outbox_age_s: float

    @property
    def well(self) -> bool:
        """Whether readings can be stored."""
        return not self.failing


def as_json(health: Health) -> bytes:
    """All of it."""
    return msgspec.json.encode({"status": "well" if health.well else "failing", **msgspec.structs.asdict(health)})


def as_metrics(health: Health) -> str:
    """In the text exposition format, version 0.0.4."""
    lines: list[str] = []

    def add(name: str, kind: str, says: str, *samples: tuple[str, float]) -> None:
        if samples:
            lines.extend((f"# HELP lullwort_{name} {says}", f"# TYPE lullwort_{name} {kind}"))
            lines.extend(f"lullwort_{name}{labels} {value:.15g}" for labels, value in samples)

    add("up_seconds", "gauge", "Since the service started or took up changed settings.", ("", health.up_s))
    add("book_writable", "gauge", "1 while the cellar book can be written.", ("", float(health.well)))
    if health.broker_connected is not None:
        add("broker_connected", "gauge", "1 while the broker has taken us in.", ("", float(health.broker_connected)))
    add("queue_messages", "gauge", "Messages that wait to be stored.", ("", health.queue_length))
    add("queue_limit_messages", "gauge", "How many may.", ("", health.queue_limit))
    add("messages_total", "counter", "Messages taken.", ("", health.messages))
    add("readings_total", "counter", "Readings in them.", ("", health.readings))
    add("set_aside_total", "counter", "What in them was no reading.", ("", health.set_aside))
    add("failed_messages_total", "counter", "Messages left with their sender.", ("", health.failed))
    ages = [(f'{{sensor="{sensor}"}}', age) for sensor, age in sorted(health.reading_age_s.items())]
    add("last_reading_age_seconds", "gauge", "Since the newest reading of a sensor.", *ages)
    verdicts = [(f'{{batch="{batch}",verdict="{verdict}"}}', 1.0) for batch, verdict in sorted(health.verdicts.items())]
    add("verdict", "gauge", "The verdict that stands.", *verdicts)
    add("outbox_age_seconds", "gauge", "For which the oldest undelivered alert waits.", ("", health.outbox_age_s))
    return "\n".join(lines) + "\n"
