"""The page as HTML: it stands on its own, nothing written by somebody breaks out of it, and it can be read."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.detector import Units
from lullwort.exporting import room_for, sheet_html, shown_events
from lullwort.exporting.sheetroom import shortened
from lullwort.exporting.sheetstyle import SHEET_STYLE
from lullwort.packaging_day import CheckRow, EventRow, Row, Section, Sheet
from lullwort.records import Event
from lullwort.records.batch import EventKind

HOSTILE = '</style><script>alert("1")</script><img src=x onerror=alert(2)>&amp;\'"'
PLAIN = Sheet(
    title="north-12", where="vessel north", danger="", answer="Yes", verdict="ready", reasons=("It held.",),
    next="Package it.\n  lullwort batch close north-12", checks_head="Evidence",
    checks=(CheckRow("flat", True, "It is flat."), CheckRow("seen", False, "Silent.")),
    sections=(Section("Dates", (Row("pitched", "1 Jan", "day 0"),)),), events=(), ranges="Ranges hold.",
)  # fmt: skip


def page(sheet: Sheet = PLAIN, sources: str = "Sources: none.") -> str:
    return sheet_html(sheet, None, Units(), sources, "lullwort sheet north-12", "Made.")


def event(number: int, kind: EventKind = "dry hop", note: str = "") -> EventRow:
    return EventRow(Event(at_us=number, kind=kind), str(number), f"{number} Jan", kind, note)


class Reader(HTMLParser):
    """Collects tags with their attributes, and the text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta",):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


def test_it_is_a_whole_page_in_english_with_a_title_headings_and_header_cells() -> None:
    read = Reader(page())
    assert not read.open
    named = [tag for tag, _ in read.tags]
    assert ("html", {"lang": "en"}) in read.tags
    assert named.count("h1") == named.count("main") == named.count("title") == 1
    assert {"h2", "table", "footer"} <= set(named)
    assert {attrs.get("scope") for tag, attrs in read.tags if tag == "th"} == {"row", "col"}
    assert "✓ yes" in read.text
    assert "✗ no" in read.text


def test_nothing_is_loaded_and_no_script_runs() -> None:
    text = page()
    assert not re.search(r"src=|href=|url\(|@import|<script|<link|<iframe|http-equiv", text)
    assert re.findall(r"https?://[^\s\"']+", text) == []


@pytest.mark.parametrize("where", ["title", "where", "danger", "answer", "verdict", "next", "checks_head", "ranges"])
def test_what_somebody_wrote_stays_text(where: str) -> None:
    changed: dict[str, Any] = {where: HOSTILE}
    text = page(PLAIN._replace(**changed))
    read = Reader(text)
    assert "script" not in [tag for tag, _ in read.tags]
    assert not any(name.startswith("on") for _, attrs in read.tags for name in attrs)
    assert text.count("</style>") == 1


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=200), st.text(max_size=120))
def test_no_words_whatever_break_the_page(note: str, name: str) -> None:
    rows = (event(1, note=note),)
    checks = (CheckRow(name, False, note),)
    sections = (Section(name, (Row(note, name, note),)),)
    sheet = PLAIN._replace(title=name, reasons=(note,), events=rows, checks=checks, sections=sections)
    plain = [tag for tag, _ in Reader(page(PLAIN._replace(events=(event(1, note="x"),), checks=checks[:1]))).tags]
    read = [tag for tag, _ in Reader(page(sheet)).tags]
    extra = {"small", "p", "code"}  # of a note that is there, and that it was cut
    assert [tag for tag in read if tag not in extra] == [tag for tag in plain if tag not in extra]


def test_more_events_than_there_is_room_for_are_counted_and_remarks_go_first() -> None:
    events = [event(number, "remark" if number < 40 else "sample") for number in range(90)]
    sheet = PLAIN._replace(events=tuple(events))
    most = room_for(sheet).events
    assert 20 <= most <= 50
    shown = shown_events(events, most)
    assert len(shown) == most
    assert all(row.event.kind == "sample" for row in shown)
    assert [row.event.at_us for row in shown] == sorted(row.event.at_us for row in shown)
    text = Reader(page(sheet)).text
    assert f"{90 - most} more events not shown; whole: lullwort sheet north-12" in text
    assert "not shown" not in Reader(page(PLAIN._replace(events=tuple(events[:20])))).text


def test_remarks_are_whole_while_there_is_room() -> None:
    note = "a remark of some length that goes on over several lines of its narrow column " * 4
    few = Reader(page(PLAIN._replace(events=tuple(event(number, note=note) for number in range(6))))).text
    assert few.count(note.strip()) == 6
    assert "cut short" not in few


@pytest.mark.no_cover
def test_a_long_note_is_cut_and_that_is_said() -> None:
    text = Reader(page(PLAIN._replace(events=(event(1, note="warm and sweet " * 300),)))).text
    assert "warm and…" in text or "warm and sweet…" in text
    assert "1 cut short; whole: lullwort sheet north-12" in text


@settings(deadline=None)
@given(st.text(max_size=300), st.integers(8, 120))
def test_what_is_shortened_is_one_line_no_longer_than_asked(text: str, most: int) -> None:
    short = shortened(text, most)
    assert len(short) <= most
    assert "\n" not in short
    if len(" ".join(text.split())) <= most:
        assert short == " ".join(text.split())
    else:
        assert short.endswith("…")


def test_a_command_to_be_copied_stands_apart() -> None:
    assert "<code>lullwort batch close north-12</code>" in page()
    assert "Next" not in Reader(page(PLAIN._replace(next=""))).text


def luminance(colour: str) -> float:
    """[W3C WCAG 2.2] relative luminance."""
    parts = colour.lstrip("#")
    parts = "".join(2 * c for c in parts) if len(parts) == 3 else parts
    linear = []
    for begin in (0, 2, 4):
        value = int(parts[begin : begin + 2], 16) / 255.0
        linear.append(value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4)
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_contrast_by_the_published_ratio_of_black_and_white() -> None:
    # WCAG 2.2, definition of contrast ratio: 21 for black on white.
    assert contrast("#000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("nth", [0, 1, 2], ids=["light", "dark", "print"])
@pytest.mark.parametrize("ink", ["ink", "quiet", "danger"])
def test_every_ink_can_be_read_on_its_paper(nth: int, ink: str) -> None:
    """WCAG 2.2, success criterion 1.4.3 (AA): 4.5 at least; and on the box of the proof, too."""
    colours = [dict(re.findall(r"--(\w+):(#\w+)", part)) for part in re.findall(r":root\{([^}]*)\}", SHEET_STYLE)]
    assert len(colours) == 3
    for paper in ("paper", "held"):
        assert contrast(colours[nth][ink], colours[nth][paper]) >= 4.5
