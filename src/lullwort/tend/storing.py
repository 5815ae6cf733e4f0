"""Messages into the cellar book: decoded, stored in groups, and only then settled with whoever sent them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

from lullwort.cellarbook import Book, ImportRun, Intake
from lullwort.collector import (
    IMPOSSIBLE_TIME,
    WHOLE_CHARACTERS,
    Arrival,
    BlockBuilder,
    Outcome,
    Packet,
    PlainReading,
)
from lullwort.errors import BookError
from lullwort.records import COMMON_UNITS, HOUR_US, Block, SetAside

__all__ = ["Decoded", "Plain", "Reader", "Storing", "Taken", "Tally"]


class Decoded(NamedTuple):
    """What one message holds.

    Attributes:
        intake: the import that it belongs to: one for each source and way of reading it, so that what was read
                wrongly can be withdrawn as a whole.
        parts:  its readings, apart where their units differ, and what of it is none.
    """

    intake: Intake
    parts: list[tuple[Block, list[SetAside]]]

    @property
    def readings(self) -> int:
        """How many it holds."""
        return sum(len(block) for block, _ in self.parts)

    @property
    def set_aside(self) -> tuple[SetAside, ...]:
        """All that is set aside of it."""
        return tuple(row for _, rows in self.parts for row in rows)


class Plain(NamedTuple):
    """A message that is one reading in common units, as most are."""

    intake: Intake
    vessel: str
    reading: PlainReading


class Taken(NamedTuple):
    """What a group of messages brought to the book."""

    blocks: list[Block]
    set_aside: list[SetAside]


class Reader(Protocol):
    """What a message means."""

    def plain(self, packet: Packet) -> Plain | None:
        """Its one reading; None for a message that is to be decoded."""

    def decode(self, packet: Packet) -> Decoded:
        """All that it holds; never fails."""


_ONE = Outcome(1, (), None)
_AGAIN_AT_ONCE = 1000
_DAY_US = 24 * HOUR_US


@dataclass
class Tally:
    """Counts since the service began."""

    messages: int = 0
    readings: int = 0
    set_aside: int = 0
    failed: int = 0
    """Messages that could not be stored and were left with their sender."""


@dataclass
class Storing:
    """Stores groups of messages in one book; a group is on disk as a whole before any of it is settled."""

    book: Book
    reader: Reader
    tally: Tally = field(default_factory=Tally)
    _runs: dict[Intake, ImportRun] = field(default_factory=dict)

    def take(self, arrivals: Sequence[Arrival], now_us: int) -> Taken:
        """Store what came and settle it; gives what is on disk now.

        Raises: BookError after every message was settled as failed: they are still their senders'.
        """
        decoded: list[Decoded] = []
        outcomes: list[Outcome] = []
        builders: dict[Intake, BlockBuilder] = {}
        for arrival in arrivals:
            plain = self.reader.plain(arrival.packet)
            if plain is None:
                one = self.reader.decode(arrival.packet)
                decoded.append(one)
                outcomes.append(Outcome(one.readings, one.set_aside, None))
                continue
            intake, vessel, (sensor, at_us, values) = plain
            builder = builders.get(intake)
            if builder is None:
                builder = builders[intake] = BlockBuilder(COMMON_UNITS)
            builder.add(sensor, vessel, at_us, values, 0)
            outcomes.append(_ONE)
        decoded += [Decoded(intake, [(builder.build(), [])]) for intake, builder in builders.items()]
        try:
            touched = {one.intake: self._run(one.intake, now_us) for one in decoded}
            for one in decoded:
                for block, set_aside in one.parts:
                    touched[one.intake].store(block, set_aside)
            for run in touched.values():
                run.commit()
        except BookError as exc:
            self._runs.clear()
            self.tally.failed += len(arrivals)
            for arrival in arrivals:
                arrival.settle(Outcome(0, (), str(exc)))
            raise
        for arrival, outcome in zip(arrivals, outcomes, strict=True):
            arrival.settle(outcome)
        taken = Taken(
            [block for one in decoded for block, _ in one.parts if len(block)],
            [row for one in decoded for row in one.set_aside],
        )
        self.tally.messages += len(arrivals)
        self.tally.readings += sum(map(len, taken.blocks))
        self.tally.set_aside += len(taken.set_aside)
        return taken

    def take_again(self, now_us: int) -> Taken | None:
        """What the broker brought while this machine's clock was behind, of times that could not be and now can.

        Some of it; None where nothing is left. Raises BookError.
        """
        rows = self.book.imports.timely("broker", IMPOSSIBLE_TIME, now_us + _DAY_US, WHOLE_CHARACTERS, _AGAIN_AT_ONCE)
        if not rows:
            return None
        messages = dict.fromkeys((stored.row.place, stored.row.raw_text) for stored in rows)
        packets = [Packet("broker", place, raw.encode(), now_us) for place, raw in messages]
        taken = self.take([Arrival(packet, lambda _: None) for packet in packets], now_us)
        self.book.imports.forget_set_aside(rows)
        return taken

    def names(self) -> list[str]:
        """Of the imports that were added to."""
        return [run.name for run in self._runs.values()]

    def _run(self, intake: Intake, now_us: int) -> ImportRun:
        if intake not in self._runs:
            self._runs[intake] = self.book.imports.begin(intake, now_us)
        return self._runs[intake]
