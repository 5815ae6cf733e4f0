"""A calendar file keeps the rules of RFC 5545, whatever a batch is called, and a later one moves or takes out what is
there."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from icalendar import Calendar

from lullwort.detector import Units, judge
from lullwort.exporting import calendar_text
from lullwort.forecast import Planned
from lullwort.packaging_day import Dates, DaySpan, calendar_days
from lullwort.records import HOUR_US, Batch, VesselReadings, parse_instant

NOW = parse_instant("2026-08-06T06:05:07.25Z")
PITCHED = parse_instant("2026-07-28T18:00:00Z")
NORTH = Batch(vessel="north", name="north-12", pitched_us=PITCHED)
READY = Planned(
    "ready", parse_instant("2026-08-08T22:30:00Z"), "north-12: ask the verdict", "Likely.\nNo proof.", "tentative"
)
FIVE = Planned(
    "left 5", parse_instant("2026-08-06T12:31:17.5Z"), "north-12: about 5 points left", "Dry hop.", "tentative"
)
HOSTILE = (
    'n;o,r\\t"h\r\nEND:VEVENT\nATTENDEE:mailto:x@example.org\r\x00\x07\x0b\x1b[2J\x7f\x85\u2028\u2029 '
    + "Gärkeller 🍺 " * 40
)
ONCE = {
    "DTSTAMP", "UID", "DTSTART", "DTEND", "DESCRIPTION", "LAST-MODIFIED", "SEQUENCE", "STATUS", "SUMMARY", "TRANSP",
}  # fmt: skip
"""What an event of ours has; none of it may occur twice [RFC 5545 3.6.1]."""
MUST_BE_QUOTED = re.compile(r"(?<!\\)(?:\\\\)*[;,]|(?<!\\)(?:\\\\)*\\[^\\;,nN]")


def events(text: str) -> dict[str, Any]:
    """The events by their titles, as the library reads them back."""
    calendar = Calendar.from_ical(text.encode())
    found = calendar.walk("VEVENT")
    assert not any(component.errors for component in (calendar, *found))
    return {str(event["summary"]): event for event in found}


def check_rules(text: str, *statuses: str) -> list[dict[str, str]]:
    """Hold the text to the rules, without the library; gives the properties of each event.

    Each event has the status that is due, all are tentative where none is given.
    """
    raw = text.encode()
    assert raw.endswith(b"\r\n")
    assert b"\r" not in raw.replace(b"\r\n", b"")  # [3.1] lines are delimited by CR LF alone
    assert b"\n" not in raw.replace(b"\r\n", b"")
    for line in raw.split(b"\r\n"):
        assert len(line) <= 75  # [3.1] octets, without the line break
        line.decode()  # [3.1] not folded within a character
    # [3.1] No control characters but the tab, and in a text [3.3.11] none at all.
    assert not re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029]", text)
    lines = text.replace("\r\n ", "").split("\r\n")[:-1]
    assert all(re.match(r"[A-Z-]+(;[A-Z-]+=[^:;,\"]+)*:", line) for line in lines)
    # [3.4, 3.6] One calendar; it has each of these once, and PRODID and VERSION are all that it must have.
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-1] == "END:VCALENDAR"
    assert sum(line == "VERSION:2.0" for line in lines) == 1
    assert sum(re.fullmatch(r"PRODID:-//.+//.+//EN", line) is not None for line in lines) == 1
    bodies = re.findall(r"BEGIN:VEVENT\n(.*?)\nEND:VEVENT", "\n".join(lines), re.DOTALL)
    assert len(bodies) == sum(line.startswith("BEGIN:") for line in lines) - 1 >= 1  # [3.6] at least one component
    found = []
    for body in bodies:
        properties = [line.partition(":") for line in body.split("\n")]
        names = [name.partition(";")[0] for name, _, _ in properties]
        assert sorted(names) == sorted(ONCE)
        found.append({name: value for name, _, value in properties})
        check_event(found[-1])
    # [3.8.1.11] Nothing is said to be sure, or off, that is not.
    assert [event["STATUS"] for event in found] == list(statuses or ["TENTATIVE"] * len(found))
    assert len({event["UID"] for event in found}) == len(found)  # [3.8.4.7] globally unique
    return found


def check_event(event: dict[str, str]) -> None:
    for name in ("DTSTAMP", "LAST-MODIFIED"):
        assert re.fullmatch(r"\d{8}T\d{6}Z", event[name])  # [3.8.7.2, 3.8.7.3] in UTC
    assert event["TRANSP"] == "TRANSPARENT"  # [3.8.2.7]
    assert 0 <= int(event["SEQUENCE"]) < 2**31  # [3.8.7.4, 3.3.8]
    for name in ("SUMMARY", "DESCRIPTION"):
        assert not MUST_BE_QUOTED.search(event[name]), event[name]  # [3.3.11]
    # [3.3.4, 3.6.1] A whole day: its start is a date, and so is its end, which is the day after.
    days = [event[f"{name};VALUE=DATE"] for name in ("DTSTART", "DTEND")]
    assert all(re.fullmatch(r"\d{8}", day) for day in days)
    start, end = map(date.fromisoformat, days)
    assert end - start == timedelta(days=1)


def test_the_rules_that_are_held_would_find_what_breaks_them() -> None:
    sound = calendar_text(NORTH, [READY, FIVE], NOW, "Europe/Berlin")
    check_rules(sound)
    for there, instead in [
        ("\r\n", "\n"), ("VERSION:2.0\r\n", ""), ("UID:", "X-ID:"), ("TENTATIVE", "LIKELY"), ("No proof", "No;proof"),
        ("DTEND;VALUE=DATE:20260810", "DTEND;VALUE=DATE:20260809"), ("DTSTAMP:20260806T060507Z", "DTSTAMP:20260806"),
        ("DTEND;VALUE=DATE:20260810", "DTEND;VALUE=DATE:20260811"), ("TENTATIVE", "CONFIRMED"),
        ("TENTATIVE", "CANCELLED"), ("DTSTART;VALUE=DATE:20260809", "DTSTART:20260809T000000Z"),
        ("north-12", "north-12 " + "x" * 80), ("Dry hop", "Dry\x07hop"), ("No proof", "No\\proof"),
    ]:  # fmt: skip
        assert there in sound
        with pytest.raises((AssertionError, KeyError)):
            check_rules(sound.replace(there, instead, 1 if there == "TENTATIVE" else -1))


def test_what_was_planned_is_read_back() -> None:
    found = events(calendar_text(NORTH, [READY, FIVE], NOW, "Europe/Berlin"))
    ready, five = found[READY.title], found[FIVE.title]
    assert str(ready["description"]) == "Likely.\nNo proof."
    assert ready["dtstart"].dt == date(2026, 8, 9)  # 00:30 on Sunday in Berlin, when it is Saturday still in UTC
    assert ready["dtend"].dt == date(2026, 8, 10)
    assert (five["dtstart"].dt, five["dtend"].dt) == (date(2026, 8, 6), date(2026, 8, 7))
    assert five["dtstamp"].dt == five["last-modified"].dt == datetime(2026, 8, 6, 6, 5, 7, tzinfo=UTC)
    assert events(calendar_text(NORTH, [READY], NOW, None))[READY.title]["dtstart"].dt == date(2026, 8, 8)


def test_each_has_the_status_that_it_was_planned_with() -> None:
    planned = [READY._replace(status="confirmed"), FIVE, FIVE._replace(key="sample", status="cancelled")]
    check_rules(calendar_text(NORTH, planned, NOW, "UTC"), "CONFIRMED", "TENTATIVE", "CANCELLED")


def test_whatever_it_is_called_nothing_of_it_becomes_more_than_text() -> None:
    says = f"Moved: {HOSTILE}.\nNo proof."
    planned = Planned("ready", READY.at_us, f"{HOSTILE}: likely ready", says, "tentative")
    hostile = Batch(vessel="north", name=HOSTILE, pitched_us=PITCHED)
    text = calendar_text(hostile, [planned, FIVE], NOW, "Europe/Berlin")
    check_rules(text)
    (title,) = set(events(text)) - {FIVE.title}
    assert title.startswith('n;o,r\\t"h \nEND:VEVENT\nATTENDEE:mailto:x@example.org')
    assert title.endswith("Gärkeller 🍺 : likely ready")


def test_the_file_is_a_pure_function_of_what_it_is_given() -> None:
    assert calendar_text(NORTH, [READY, FIVE], NOW, "UTC") == calendar_text(NORTH, [READY, FIVE], NOW, "UTC")


def test_a_later_file_moves_the_same_events_or_takes_them_out() -> None:
    moved = READY._replace(at_us=READY.at_us + 30 * HOUR_US, title="north-12: ask again")
    out = READY._replace(at_us=READY.at_us - 30 * HOUR_US, status="cancelled")
    (old,) = check_rules(calendar_text(NORTH, [READY], NOW, "UTC"))
    (new,) = check_rules(calendar_text(NORTH, [moved], NOW + 1_000_000, "UTC"))
    (gone,) = check_rules(calendar_text(NORTH, [out], NOW + 2_000_000, "UTC"), "CANCELLED")
    # A snapshot: with any other those in the calendars of brewers would stay where they are, beside the new ones.
    assert old["UID"] == new["UID"] == gone["UID"] == "4267094b-9035-5544-ace3-030eb04ddc2c"
    # [3.8.7.4] It grows with each revision: a second later, of the same forecast, too.
    assert [int(event["SEQUENCE"]) - int(old["SEQUENCE"]) for event in (old, new, gone)] == [0, 1, 2]
    assert old["DTSTAMP"] < new["DTSTAMP"] < gone["DTSTAMP"]
    assert old["LAST-MODIFIED"] < new["LAST-MODIFIED"] < gone["LAST-MODIFIED"]


def test_crash_and_packaging_day_keep_the_rules_and_are_taken_out_under_the_same_names() -> None:
    thursday, judged = date(2026, 8, 6), judge(NORTH, VesselReadings.of(()), as_of_us=NOW)
    foreseen = Dates(
        thursday, 2, None, DaySpan(*(date(2026, 8, day) for day in (8, 9, 12))),
        DaySpan(*(date(2026, 8, day) for day in (10, 11, 14))), None, False, "", None,
    )  # fmt: skip
    berlin = Units(zone="Europe/Berlin")
    text = calendar_text(NORTH, calendar_days(judged, foreseen, berlin), NOW, "Europe/Berlin")
    crash, packaging = check_rules(text)
    assert [event["DTSTART;VALUE=DATE"] for event in (crash, packaging)] == ["20260809", "20260811"]
    # A snapshot: with any other those in the calendars of brewers would stay where they are, beside the new ones.
    assert [event["UID"] for event in (crash, packaging)] == [
        "62ef8f60-67e5-5264-9ba8-b496a39b24c7", "3ce18cc6-5478-573c-9564-6b3887db6fb8",
    ]  # fmt: skip
    none = foreseen._replace(crash=None, packaging=None, unsaid="It stands still; nobody knows.")
    gone = calendar_text(NORTH, calendar_days(judged, none, berlin), NOW + 1_000_000, "Europe/Berlin")
    out = check_rules(gone, "CANCELLED", "CANCELLED")
    assert [event["UID"] for event in out] == [crash["UID"], packaging["UID"]]
    assert all(int(event["SEQUENCE"]) > int(crash["SEQUENCE"]) for event in out)
    # A short title on a phone never passes for the verdict.
    assert all(title.startswith("north-12: ask the verdict first") for title in events(text))


def test_another_batch_has_its_own_events_and_one_of_the_same_name_too() -> None:
    others = [
        Batch(vessel="north", name="north-13", pitched_us=PITCHED),
        # In another book, or after the first was taken out of this one.
        Batch(vessel="north", name="north-12", pitched_us=PITCHED + 1),
    ]
    uids = {check_rules(calendar_text(batch, [READY], NOW, "UTC"))[0]["UID"] for batch in (NORTH, *others)}
    assert len(uids) == 3
    again = Batch(vessel="south", name="north-12", pitched_us=PITCHED, recipe="pale")
    assert check_rules(calendar_text(again, [READY], NOW, "UTC"))[0]["UID"] in uids


@pytest.mark.parametrize(
    ("written", "sequence"),
    [
        ("1970-01-01T00:00:03Z", 0),  # a clock that was never set
        ("2020-01-01T00:00:01Z", 1),
        ("2088-01-19T03:14:07Z", 2**31 - 1),  # [3.3.8] the most that it may be
    ],
)
def test_seconds_since_2020_fit_into_31_bits_until_2088(written: str, sequence: int) -> None:
    (event,) = check_rules(calendar_text(NORTH, [READY], parse_instant(written), "UTC"))
    assert int(event["SEQUENCE"]) == sequence


def test_the_library_is_loaded_only_to_write_one() -> None:
    loaded = "import sys, lullwort.exporting; print('icalendar' in sys.modules)"
    assert (
        subprocess.run([sys.executable, "-c", loaded], capture_output=True, text=True, check=True).stdout == "False\n"
    )
