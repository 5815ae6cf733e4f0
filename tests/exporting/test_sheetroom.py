"""What is reckoned of a page before it is printed; real pages are in tests/cli/test_sheet_printed.py."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.exporting import room_for
from lullwort.packaging_day import CheckRow, EventRow, Row, Section, Sheet
from lullwort.records import Event


def sheet(events: int, note: str, danger: str = "", seen: str = "It holds.") -> Sheet:
    done = tuple(
        EventRow(Event(at_us=nth, kind="remark", note=note), str(nth + 1), "26 Jul 12:00", "remark", note)
        for nth in range(events)
    )
    return Sheet(
        "north-12", "vessel north", danger, "Yes", "ready", ("It holds.",), "Wait.", "Evidence",
        tuple(CheckRow(name, True, seen) for name in "abcdefg"),
        (Section("Dates", tuple(Row(f"row {nth}", "so much") for nth in range(20))),), done, "",
    )  # fmt: skip


def test_a_plain_page_has_the_whole_picture_and_what_is_added_costs_it_first() -> None:
    assert room_for(sheet(2, "")) == (False, 240, 40, 12, 330, 420)
    fuller = room_for(sheet(6, "words " * 40, "Danger " * 40))
    assert fuller.curve < 240
    assert fuller.note_lines >= 4
    assert fuller.events >= 6


@pytest.mark.no_cover
@given(st.integers(0, 60), st.text(max_size=300), st.text(max_size=500), st.text(max_size=600))
def test_more_to_tell_never_has_more_room(events: int, note: str, danger: str, seen: str) -> None:
    full, more = room_for(sheet(events, note, danger, seen)), room_for(sheet(events + 5, note, danger, seen))
    assert more.curve <= full.curve
    assert more.dense >= full.dense
    assert more.sentence <= full.sentence
