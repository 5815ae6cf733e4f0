"""A calendar file keeps the rules of RFC 5545, whatever a batch is called, and a later one moves what is there."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from icalendar import Calendar

from lullwort.exporting import calendar_text
from lullwort.forecast import Planned
from lullwort.records import HOUR_US, parse_instant

AS_OF = parse_instant("2026-08-06T06:05:07.25Z")
READY = Planned("ready", parse_instant("2026-08-08T22:30:00Z"), True, "north-12: likely ready", "Likely.\nNo proof.")
FIVE = Planned("left 5", parse_instant("2026-08-06T12:31:17.5Z"), False, "north-12: about 5 points left", "Dry hop.")
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


def check_rules(text: str) -> list[dict[str, str]]:
    """Hold the text to the rules, without the library; gives the properties of each event."""
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
    assert len({event["UID"] for event in found}) == len(found)  # [3.8.4.7] globally unique
    return found


def check_event(event: dict[str, str]) -> None:
    for name in ("DTSTAMP", "LAST-MODIFIED"):
        assert re.fullmatch(r"\d{8}T\d{6}Z", event[name])  # [3.8.7.2, 3.8.7.3] in UTC
    assert event["STATUS"] == "TENTATIVE"  # [3.8.1.11] one of the three that an event may have
    assert event["TRANSP"] == "TRANSPARENT"  # [3.8.2.7]
    assert 0 <= int(event["SEQUENCE"]) < 2**31  # [3.8.7.4, 3.3.8]
    for name in ("SUMMARY", "DESCRIPTION"):
        assert not MUST_BE_QUOTED.search(event[name]), event[name]  # [3.3.11]
    starts = [value for name, value in event.items() if name.startswith("DTSTART")]
    ends = [value for name, value in event.items() if name.startswith("DTEND")]
    all_day = "DTSTART;VALUE=DATE" in event
    assert all_day == ("DTEND;VALUE=DATE" in event)  # [3.8.2.2] of the same type as the start, and after it
    assert re.fullmatch(r"\d{8}" if all_day else r"\d{8}T\d{6}Z", starts[0])  # [3.3.4, 3.3.5]
    assert starts < ends


def test_the_rules_that_are_held_would_find_what_breaks_them() -> None:
    sound = calendar_text("north-12", [READY, FIVE], AS_OF, "Europe/Berlin")
    check_rules(sound)
    for there, instead in [
        ("\r\n", "\n"), ("VERSION:2.0\r\n", ""), ("UID:", "X-ID:"), ("TENTATIVE", "LIKELY"), ("No proof", "No;proof"),
        ("DTEND;VALUE=DATE:20260810", "DTEND;VALUE=DATE:20260809"), ("DTSTAMP:20260806T060507Z", "DTSTAMP:20260806"),
        ("north-12", "north-12 " + "x" * 80), ("Dry hop", "Dry\x07hop"), ("No proof", "No\\proof"),
    ]:  # fmt: skip
        assert there in sound
        with pytest.raises(AssertionError):
            check_rules(sound.replace(there, instead))


def test_what_was_planned_is_read_back() -> None:
    found = events(calendar_text("north-12", [READY, FIVE], AS_OF, "Europe/Berlin"))
    ready, five = found[READY.title], found[FIVE.title]
    assert str(ready["description"]) == "Likely.\nNo proof."
    assert ready["dtstart"].dt == date(2026, 8, 9)  # 00:30 on Sunday in Berlin, when it is Saturday still in UTC
    assert ready["dtend"].dt == date(2026, 8, 10)
    assert five["dtstart"].dt == datetime(2026, 8, 6, 12, 45, tzinfo=UTC)
    assert five["dtend"].dt - five["dtstart"].dt == timedelta(hours=1)
    assert five["dtstamp"].dt == five["last-modified"].dt == datetime(2026, 8, 6, 6, 5, 7, tzinfo=UTC)
    assert events(calendar_text("n", [READY], AS_OF, None))[READY.title]["dtstart"].dt == date(2026, 8, 8)


def test_a_moment_on_a_quarter_of_an_hour_stays_there() -> None:
    on_it = FIVE._replace(at_us=parse_instant("2026-08-06T12:30:00Z"))
    (event,) = check_rules(calendar_text("north-12", [on_it], AS_OF, None))
    assert event["DTSTART"] == "20260806T123000Z"


def test_whatever_it_is_called_nothing_of_it_becomes_more_than_text() -> None:
    planned = Planned("ready", READY.at_us, True, f"{HOSTILE}: likely ready", f"Moved: {HOSTILE}.\nNo proof.")
    text = calendar_text(HOSTILE, [planned, FIVE], AS_OF, "Europe/Berlin")
    check_rules(text)
    (title,) = set(events(text)) - {FIVE.title}
    assert title.startswith('n;o,r\\t"h \nEND:VEVENT\nATTENDEE:mailto:x@example.org')
    assert title.endswith("Gärkeller 🍺 : likely ready")


def test_the_file_is_a_pure_function_of_the_forecast() -> None:
    assert calendar_text("a", [READY, FIVE], AS_OF, "UTC") == calendar_text("a", [READY, FIVE], AS_OF, "UTC")


def test_a_later_file_moves_the_same_events_and_another_batch_has_its_own() -> None:
    later = READY._replace(at_us=READY.at_us + 30 * HOUR_US, title="north-12: about ready")
    (old,), (new,) = (
        check_rules(calendar_text("north-12", [planned], at_us, "UTC"))
        for planned, at_us in ((READY, AS_OF), (later, AS_OF + HOUR_US))
    )
    (other,) = check_rules(calendar_text("north-13", [READY], AS_OF, "UTC"))
    # A snapshot: with any other those in the calendars of brewers would stay where they are, beside the new ones.
    assert old["UID"] == new["UID"] == "c391f57e-1ca5-5304-b52f-4480e49204e1"
    assert old["UID"] != other["UID"]
    assert int(new["SEQUENCE"]) > int(old["SEQUENCE"])  # [3.8.7.4] it grows with each revision
    assert new["DTSTAMP"] > old["DTSTAMP"]
    # [3.8.7.4] A number of 31 bits [3.3.8] is enough for a thousand years.
    check_rules(calendar_text("north-12", [READY], parse_instant("2999-01-01T00:00:00Z"), "UTC"))


def test_the_library_is_loaded_only_to_write_one() -> None:
    loaded = "import sys, lullwort.exporting; print('icalendar' in sys.modules)"
    assert (
        subprocess.run([sys.executable, "-c", loaded], capture_output=True, text=True, check=True).stdout == "False\n"
    )
