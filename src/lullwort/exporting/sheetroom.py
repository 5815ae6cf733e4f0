"""What fits on one printed page of a batch, A4 or Letter: how close it is set, and how much of long words is kept.

It is reckoned beforehand, in the widths of Times, to which the style sheet scales other letters; a script or a
browser's own measure would not be there when a file is printed from a phone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate
from typing import NamedTuple

from lullwort.packaging_day import EventRow, Sheet

__all__ = ["Room", "room_for", "shortened", "shown_events"]

_PAGE = 955.0
"""[px] Of the height of Letter paper within its margins, 965, which has less than A4."""
_WIDTH, _COLUMN = 703.0, 337.0
"""[px] Of A4 within its margins, which is narrower than Letter, and of one of two columns on it."""
_CUT = "…"
_NARROW, _BROAD, _CAPITAL = "iljtfrI.,:;'|!()[] -/", "mwMW%@&", "ABCDEFGHJKLNOPQRSTUVXYZ"
_EM_NARROW, _EM_BROAD, _EM_CAPITAL, _EM_USUAL, _EM_FOREIGN = 0.32, 0.85, 0.7, 0.49, 1.0
"""[em] Of a letter of Times, a little too wide."""


class Room(NamedTuple):
    """How a page is laid out.

    Attributes:
        dense:      whether it is set closer.
        curve:      [px at a width of 760] height of the picture.
        events:     so many at most.
        note_lines: lines of an event with its note.
        sentence, passage: [characters] of what was seen in a check, and of what stands under the head.
    """

    dense: bool
    curve: int
    events: int
    note_lines: int
    sentence: int
    passage: int


def _rooms() -> Iterator[Room]:
    """From wide to narrow: first the picture gives way, then long notes, then events, then long sentences."""
    for dense, curve in ((False, 240), (False, 222), (True, 222), (True, 200), (True, 180)):
        yield Room(dense, curve, 40, 12, 330, 420)
    for lines in (8, 6, 4, 3, 2, 1):
        yield Room(True, 170, 40, lines, 330, 420)
    for events in range(24, 11, -2):
        yield Room(True, 170, events, 1, 330, 420)
    for sentence, passage in ((260, 420), (260, 300), (130, 300), (130, 200)):
        for events in (12, 9, 6):
            yield Room(True, 170, events, 1, sentence, passage)


def room_for(sheet: Sheet) -> Room:
    """The widest in which the whole page fits on one sheet of paper."""
    room = None
    for room in _rooms():
        if _height(sheet, room) <= _PAGE:
            break
    assert room is not None
    return room


def shown_events(events: Sequence[EventRow], most: int) -> list[EventRow]:
    """As many as there is room for, in order: remarks go first, then the oldest."""
    ranked = sorted(range(len(events)), key=lambda nth: (events[nth].event.kind == "remark", -nth))
    return [events[nth] for nth in sorted(ranked[:most])]


def shortened(text: str, most: int) -> str:
    """`text` on one line, cut after `most` characters, between words where it can be.

    >>> shortened("warm and  sweet", 40), shortened("warm and sweet", 10)
    ('warm and sweet', 'warm and…')
    """
    line = " ".join(text.split())
    if len(line) <= most:
        return line
    cut = line[: most - len(_CUT)]
    between = cut.rfind(" ")
    return f"{cut[:between] if between > most // 2 else cut}{_CUT}"


EVENT_LINE = 54
"""[characters] Of an event with its note that fit on a line."""


def _height(sheet: Sheet, room: Room) -> float:
    """[px] Of the page in print, with the least room to write."""
    font = 10.27 if room.dense else 11.2
    line = font * (1.16 if room.dense else 1.24)
    row = 2.2 if room.dense else 3.0
    says = [shortened(" ".join(sheet.reasons), room.passage)]
    says += [shortened(each, room.passage) for each in sheet.next.splitlines()]
    head = (
        62.0
        + 0.5 * 11.2 * (_lines(sheet.where, 0.52 * _WIDTH, 11.2) - 1)
        + 14.0 * (_lines(sheet.title, 350.0, 25.0) - 1)
    )
    danger = 17.0 + line * _lines(f"Danger. {sheet.danger}", _WIDTH - 19.0, 1.06 * font) if sheet.danger else 0.0
    why = line * sum(_lines(each, _WIDTH, font) for each in says if each) + 5.0
    figure = room.curve * _WIDTH / 760.0 + 26.0
    checks = 0.0
    if sheet.checks:
        small = 9.33 if room.dense else 9.87
        each_line = small * (1.12 if room.dense else 1.18)
        seen = (_lines(shortened(check.says, room.sentence), _WIDTH - 140.0, small) for check in sheet.checks)
        checks = 33.0 + sum(each_line * lines + row for lines in seen)
    return head + danger + why + figure + _facts(sheet, room, font, line, row) + checks + 68.0 + 28.0


def _facts(sheet: Sheet, room: Room, font: float, line: float, row: float) -> float:
    """[px] Of the two columns of figures and events, which are made as even as whole sections allow."""
    gap, heading = (4.5, 14.5) if room.dense else (6.8, 15.5)
    blocks = [
        heading
        + gap
        + sum(
            row + line * max(_lines(each.label, 103.0, font), _lines(f"{each.says} {each.beside}", 222.0, font))
            for each in section.rows
        )
        for section in sheet.sections
    ]
    shown = shown_events(sheet.events, room.events)
    if shown:
        lines = [min(room.note_lines, -(-len(f"{each.what} {each.note}") // EVENT_LINE)) for each in shown]
        blocks += [heading, *(row + line * max(1, many) for many in lines), 11.0 + gap]
    sums = list(accumulate(blocks, initial=0.0))
    return min(max(before, sums[-1] - before) for before in sums)


def _lines(text: str, width: float, font: float) -> int:
    """How many lines it takes in so many pixels, broken between words, and within one that is longer than a line."""
    lines, at = 1, 0.0
    for word in _em(text):
        wide = word * font
        if at and at + wide > width:
            lines, at = lines + 1, 0.0
        at += wide + 0.26 * font
        while at > width + 0.26 * font:
            lines, at = lines + 1, at - width
    return lines


def _em(text: str) -> Iterable[float]:
    return (sum(map(_letter, word)) for word in text.split())


def _letter(letter: str) -> float:
    if letter in _NARROW:
        return _EM_NARROW
    if letter in _BROAD:
        return _EM_BROAD
    if letter in _CAPITAL:
        return _EM_CAPITAL
    return _EM_USUAL if ord(letter) < 0x2E80 else _EM_FOREIGN
