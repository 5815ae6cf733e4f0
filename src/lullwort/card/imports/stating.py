"""What a person states of a log at the card: fields, the options that they stand for, and doubts beside them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from lullwort.card.pages.fields import Field
from lullwort.card.pages.quoted import masked
from lullwort.collector import OPTIONAL
from lullwort.collector import Mapping as LogMapping

__all__ = [
    "arranged",
    "assumed_zone",
    "column_fields",
    "doubts_by_field",
    "in_labels",
    "options_of",
    "refused",
    "stating_fields",
    "times_say",
    "zone_doubt",
]

_OPEN = ("", "as the file shows")
_TIMES = (
    ("iso", "ISO 8601, as 2026-03-09T13:30"), ("dmy", "day, month, year"), ("mdy", "month, day, year"),
    ("ymd", "year, month, day"), ("unix", "seconds since 1970"), ("unix-ms", "milliseconds since 1970"),
    ("serial", "days of a spreadsheet"), ("serial-1904", "days of a spreadsheet, since 1904"),
)  # fmt: skip
_GRAVITY = (
    ("sg", "SG, as 1.052"), ("sg_1000", "SG times 1000, as 1052"), ("points", "points, as 52"), ("plato", "°P"),
    ("brix", "°Bx of a hydrometer"), ("kg_m3", "kg/m³"), ("g_l", "g/L"),
)  # fmt: skip
_TEMPERATURE = (("C", "°C"), ("F", "°F"), ("K", "K"))
_BATTERY = (("V", "volts"), ("%", "per cent"))
_ENCODING = (
    ("utf-8", "UTF-8"), ("windows-1252", "Windows-1252 (older programs)"), ("utf-16", "UTF-16"),
)  # fmt: skip
_DECIMAL = (("comma", "comma, as 1,052"), ("point", "point, as 1.052"))

_OPTIONS = {
    "mapping": "--mapping", "vessel": "--vessel", "times": "--times", "zone": "--zone", "gravity": "--log-gravity",
    "temperature": "--log-temperature", "battery": "--log-battery", "encoding": "--encoding",
}  # fmt: skip
_COLUMN, _NONE = "column-", "none"
_ROLES = {
    "time": "the time", "time-of-day": "the time of day, where that of the time has the date", "vessel": "the vessel",
    "gravity": "the gravity", "temperature": "the temperature", "sensor": "the sensor", "battery": "the battery",
    "signal": "the signal", "inclination": "the inclination",
}  # fmt: skip
_MORE = "Say more about how this file is written"
_MOST_COLUMNS = 80
_MOST_LETTERS = 300
_SETTLES = re.compile(r"--(?:times|log-gravity|log-temperature|log-battery|decimal-)\s?(\S+)")
_ROLE = re.compile(r"--column ([a-z]+)=")
_WORDS = dict((*_TIMES, *_GRAVITY, *_TEMPERATURE, *_BATTERY, *_DECIMAL))
_ASKS = {
    "vessel": "say in which vessel it was",
    "zone": "say of which zone they are, as Europe/Berlin",
    "columns": "say which it is",
}


def stating_fields(mappings: Iterable[str]) -> tuple[Field, ...]:
    """The fields for what a log does not tell itself. `mappings` are those saved in the settings, by name."""
    saved = tuple((name, name) for name in mappings)
    chosen = (Field("mapping", "Read it as", "--mapping", "A mapping saved in the settings.", (("", "none"), *saved)),)
    return (
        *(chosen if saved else ()),
        Field("vessel", "Vessel", "--vessel", "Of a log that does not name it, as north.", mode="search"),
        Field("times", "Times are written as", "--times", choices=(_OPEN, *_TIMES)),
        Field("zone", "Zone of the times", "--zone", "Of times without an offset, as Europe/Berlin.", mode="search"),
        Field("gravity", "Gravity is in", "--log-gravity", choices=(_OPEN, *_GRAVITY)),
        Field("temperature", "Temperature is in", "--log-temperature", choices=(_OPEN, *_TEMPERATURE)),
        Field("battery", "Battery is in", "--log-battery", choices=(_OPEN, *_BATTERY)),
        Field("decimal", "Decimal mark", "--decimal-comma", choices=(_OPEN, *_DECIMAL)),
        Field("encoding", "Encoding of its text", "--encoding", "If ä, ° or é look wrong.", (_OPEN, *_ENCODING)),
        Field("missing", "Values for nothing", "--missing", "As -999 or NA; each on a line of its own.", rows=2),
    )


def column_fields(columns: Sequence[str]) -> tuple[Field, ...]:
    """A field for each role that a column may have; `columns` are as the dry run describes them, from #1 on."""
    shown = tuple((f"#{number}", says) for number, says in enumerate(columns[:_MOST_COLUMNS], start=1))
    absent = (_NONE, "the log has none")
    return tuple(
        Field(
            f"{_COLUMN}{role}", f"Column of {says}", "--column",
            choices=(_OPEN, *((absent,) if role in OPTIONAL else ()), *shown),
        )
        for role, says in _ROLES.items()
        if shown
    )  # fmt: skip


def arranged(fields: Iterable[Field], faults: Mapping[str, str]) -> tuple[Field, ...]:
    """Those of which something is asked first, the others folded up below them."""
    listed = list(fields)
    asked = [field._replace(required=True) for field in listed if field.name in faults]
    return (*asked, *(field._replace(group=_MORE) for field in listed if field.name not in faults))


def options_of(stated: Mapping[str, str]) -> list[str]:
    """The options of the command for what was stated, each in one word."""
    words = [f"{option}={stated[name]}" for name, option in _OPTIONS.items() if stated.get(name)]
    words += [f"--missing={line.strip()}" for line in stated.get("missing", "").splitlines() if line.strip()]
    if stated.get("decimal"):
        words.append(f"--decimal-{stated['decimal']}")
    for role in _ROLES:
        column = stated.get(f"{_COLUMN}{role}", "")
        if column == _NONE:
            words.append(f"--without={role}")
        elif column:
            words.append(f"--column={'time' if role == 'time-of-day' else role}={column}")
    return words


def doubts_by_field(doubts: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """What is doubtful, by the field that settles it."""
    found: dict[str, str] = {}
    for doubt in doubts:
        name = str(doubt["field"])
        if name == "columns":
            role = _ROLE.search(str(doubt["options"]))
            name = f"{_COLUMN}{role[1] if role else 'time'}"
        says = _sentence(doubt)
        found[name] = f"{found[name]} {says}" if name in found else says
    return found


def assumed_zone(document: Mapping[str, Any], stated: Mapping[str, str], mappings: Mapping[str, LogMapping]) -> str:
    """The zone of the settings, where times without an offset would be taken in it though nobody said so of this log;
    empty where none is assumed."""
    saved = mappings.get(stated.get("mapping", ""))
    if stated.get("zone") or (saved is not None and saved.zone) or not document.get("unzoned"):
        return ""
    return str(document["mapping"].get("zone") or "")


def zone_doubt(document: Mapping[str, Any], zone: str) -> dict[str, str]:
    """That a zone is assumed, as a doubt of a dry run."""
    says = f"{document['unzoned']}. {zone} is assumed from your settings"
    return {
        "field": "zone",
        "says": says,
        "options": "",
        "asks": "is it the zone of this log? If so, read it again so.",
    }


def _sentence(doubt: Mapping[str, Any]) -> str:
    fits = [_WORDS[word] for word in _SETTLES.findall(str(doubt["options"])) if word in _WORDS]
    asks = f"{_ASKS.get(str(doubt['field']), 'say which it is')}."
    if fits:
        asks = f"if it is {fits[0]}, say so." if len(fits) == 1 else f"is it {', or '.join(fits)}?"
    asks = str(doubt.get("asks", asks))
    says = str(doubt["says"])
    return f"{says[:1].upper()}{says[1:]}: {asks}"


def times_say(times: str) -> str:
    """How times are written, in words."""
    return dict(_TIMES)[times]


def in_labels(text: str) -> str:
    """A sentence on a log, with the labels of fields in place of the options that it names."""
    without = masked(text)  # what stands in the log, or was stated, is told as it is
    return without.back(_OPTION.sub(lambda found: f"“{_LABELS[found[0]]}”", without.text))


def refused(fields: Iterable[Field], stated: Mapping[str, str]) -> dict[str, str]:
    """What of it cannot be meant, whatever the log is, by the field."""
    found = {}
    for field in fields:
        value = stated.get(field.name, "")
        if field.choices and value and value not in dict(field.choices):
            found[field.name] = "That is none of those in the list."
        elif len(value) > _MOST_LETTERS or "\x00" in value:
            found[field.name] = "That is too long, or holds what nobody types."
    return found


_LABELS = {field.option: field.label for field in stating_fields(["any"])}
_OPTION = re.compile("|".join(map(re.escape, sorted(_LABELS, reverse=True))))
