"""What fits on one printed page of a batch, A4 or Letter: how close it is set, and how much of long words is kept.

It is reckoned beforehand, in the widths of Times, to which the style sheet scales other letters; a script or a
browser's own measure would not be there when a file is printed from a phone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import accumulate
from typing import NamedTuple

from lullwort.packaging_day import EventRow, Row, Sheet

__all__ = ["Room", "event_words", "room_for", "shortened", "shown_events"]

_PAGE = 965.0
"""[px] Of the height of Letter paper within its margins, which has less than A4."""
_WIDTH, _LABEL, _VALUE, _EVENT = 703.0, 102.0, 223.0, 243.0
"""[px] Of A4 within its margins, which is narrower than Letter, and of the words in its two columns."""
_CUT = "…"
_LEAST_NOTE, _WORDS = 14, 70
"""[characters] So much of a note stays; longer words of what was done are cut."""
_EM = dict.fromkeys("iljt.,:;'|!/", 0.29) | dict.fromkeys("rfsI()[]-", 0.4)
_EM |= dict.fromkeys("aecz", 0.45) | dict.fromkeys("ABCDEFGHJKLNOPQRSTUVXYZmw&", 0.75)
_EM |= dict.fromkeys("MW%@", 0.95)
_EM_USUAL, _EM_FOREIGN, _EM_BETWEEN = 0.51, 1.05, 0.255
"""[em] Widths of letters of Times; of all others in Latin, of those in wider writing, and between words."""
_FOREIGN = 0x1100
# From here on most writing is as wide as it is high.


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
    for dense, curve in ((False, 240), (False, 222), (True, 222), (True, 205)):
        yield Room(dense, curve, 40, 12, 330, 420)
    for lines in (8, 6, 5, 4, 3):
        yield Room(True, 205, 40, lines, 330, 420)
    for lines in (3, 2, 1):
        yield Room(True, 185, 40, lines, 330, 420)
    for events in range(24, 11, -2):
        yield Room(True, 185, events, 1, 330, 420)
    for sentence, passage in ((260, 420), (260, 300), (130, 300), (130, 200)):
        for events in (12, 9, 6):
            yield Room(True, 185, events, 1, sentence, passage)


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


def event_words(row: EventRow, room: Room) -> tuple[str, str]:
    """What was done and the note of it, cut to the lines that there are."""
    what, note = shortened(row.what, _WORDS), " ".join(row.note.split())
    most = len(note)
    while most > _LEAST_NOTE and _event_lines(what, shortened(note, most), room) > room.note_lines:
        most = max(_LEAST_NOTE, most - 4)
    return what, shortened(note, most)


def _event_lines(what: str, note: str, room: Room) -> int:
    font, small = _fonts(room)
    return _lines([(what, font), (note, small)], _EVENT)


def _fonts(room: Room) -> tuple[float, float]:
    """[px] Of words, and of small ones beside them."""
    return (10.27, 8.8) if room.dense else (11.2, 9.34)


def _height(sheet: Sheet, room: Room) -> float:
    """[px] Of the page in print, with the least room to write."""
    font, _ = _fonts(room)
    line, row = (11.92, 2.2) if room.dense else (13.89, 3.0)
    head = 62.0 + 14.0 * (_lines([(sheet.where, 11.2)], 0.52 * _WIDTH) - 1)
    head += 28.0 * (_lines([(shortened(sheet.title, _WORDS), 25.4)], 0.5 * _WIDTH) - 1)
    danger = 0.0
    if sheet.danger:
        # The answer then has a line of its own below it.
        danger = 47.0 + line * _lines([(f"Danger. {sheet.danger}", 1.07 * font)], _WIDTH - 19.0)
    says = [shortened(each, room.passage) for each in (sheet.why, *sheet.next.splitlines())]
    why = 5.0 + line * sum(_lines([(each, font)], _WIDTH) for each in says if each)
    figure = room.curve * _WIDTH / 760.0 + 26.0
    return head + danger + why + figure + _facts(sheet, room, line, row) + _checks(sheet, room, row) + 96.0


def _checks(sheet: Sheet, room: Room, row: float) -> float:
    """[px] Of the evidence."""
    if not sheet.checks:
        return 0.0
    font, line = (9.33, 10.45) if room.dense else (9.87, 11.64)
    seen = [(shortened(check.says, room.sentence), font) for check in sheet.checks]
    return 33.0 + sum(row + line * _lines([says], _WIDTH - 140.0) for says in seen)


def _facts(sheet: Sheet, room: Room, line: float, row: float) -> float:
    """[px] Of the two columns of figures and events, which are made as even as whole sections allow."""
    font, small = _fonts(room)
    gap, heading = (4.5, 14.5) if room.dense else (6.8, 15.5)

    def lines(each: Row) -> int:
        return max(_lines([(each.label, font)], _LABEL), _lines([(each.says, font), (each.beside, small)], _VALUE))

    blocks = [heading + gap + sum(row + line * lines(each) for each in section.rows) for section in sheet.sections]
    shown = shown_events(sheet.events, room.events)
    if shown:
        done = (_event_lines(*event_words(each, room), room) for each in shown)
        blocks += [heading, *(row + line * many for many in done), 11.0 + gap]
    sums = list(accumulate(blocks, initial=0.0))
    return min(max(before, sums[-1] - before) for before in sums)


def _lines(says: Iterable[tuple[str, float]], width: float) -> int:
    """How many lines of `width` [px] texts in letters of so many pixels take one after the other.

    They are broken between words, and within a word that is longer than a line.

    >>> _lines([("ten words", 10.0), ("or a few", 8.0)], 60.0), _lines([("W" * 20, 10.0)], 100.0)
    (2, 2)
    """
    lines, at = 1, 0.0
    for text, font in says:
        for word in text.split():
            wide = font * _ems(word)
            if at and at + wide > width:
                lines, at = lines + 1, 0.0
            at += wide
            while at > width:
                lines, at = lines + 1, at - width
            at += font * _EM_BETWEEN
    return lines


@lru_cache(maxsize=4096)
def _ems(word: str) -> float:
    """[em] How wide a word is: the same few are measured again and again, in each room that is tried."""
    return sum(map(_letter, word))


def _letter(letter: str) -> float:
    return _EM.get(letter) or (_EM_USUAL if ord(letter) < _FOREIGN else _EM_FOREIGN)
