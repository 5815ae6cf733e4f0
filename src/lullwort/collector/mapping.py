"""What a person states about a log file: which column is what, in which units, how times and numbers are written."""

from __future__ import annotations

from typing import Any, Literal, get_args

import msgspec

from lullwort.collector.entries.keycheck import (
    AS_IN_A_FILE,
    Names,
    NotThatError,
    an_id,
    as_table,
    checked_keys,
    one_of,
    text,
    whole_number,
)
from lullwort.records import ZONE_NAME, ReportedUnits, zone_info
from lullwort.units import BatteryUnit, GravityUnit, TemperatureUnit

__all__ = ["DELIMITERS", "GRAVITY_WORDS", "ROLES", "TEMPERATURE_WORDS", "Mapping", "checked_mapping"]

ROLES = ("time", "vessel", "gravity", "temperature", "sensor", "battery", "signal", "inclination")
"""What a column may be."""

REQUIRED = ("time", "vessel", "gravity", "temperature")

OPTIONAL = ("gravity", "temperature", "sensor", "battery", "signal", "inclination")
"""What a log may do without, or be told to."""

Times = Literal["iso", "ymd", "dmy", "mdy", "unix", "unix-ms", "serial", "serial-1904"]
Decimal = Literal["point", "comma"]
Delimiter = Literal["comma", "semicolon", "tab", "bar", "blanks"]
Encoding = Literal["utf-8", "utf-16", "windows-1252"]

DELIMITERS: dict[Delimiter, str] = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "blanks": " "}
"""Characters between the fields; the blank stands for any run of blanks and tabs."""

GRAVITY_WORDS: dict[str, GravityUnit] = {
    "sg": "sg", "sg_1000": "sg_1000", "points": "points", "plato": "plato", "brix": "plato", "kg_m3": "kg_m3",
    "g_l": "kg_m3",
}  # fmt: skip
"""Units of gravity as people state them. °Bx read from a hydrometer is the same mass per cent of sucrose as °P, and
g/L is kg/m³; °Bx of a refractometer is not density at all once there is alcohol."""

TEMPERATURE_WORDS: dict[str, TemperatureUnit] = {"C": "C", "F": "F", "K": "K"}


class Mapping(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How to read a log file; None and empty: not stated.

    Attributes:
        columns:  for each role of ROLES the file's own name of its column, or `#3` for the third; time may be in
                  several columns, as date and time of day.
        without:  roles that the file does not have, though a readings file would.
        times:    how they are written: iso (ISO 8601), numbers in the order ymd, dmy or mdy, unix (seconds since 1970
                  UTC), unix-ms, serial (days since the eve of 1900 on the local clock, as spreadsheets count),
                  serial-1904.
        zone:     IANA name such as "Europe/Berlin", for times without an offset of their own.
        gravity, temperature, battery: units.
        decimal:  the mark in numbers.
        delimiter, encoding, header, skip_lines: of a text file; `skip_lines` stand before the header.
        missing:  what stands for nothing, as -999 or NA.
        vessel:   of a file that has no such column.
        make_ids: names of vessels and sensors are made ids, as bucket-1 of "Bucket 1".
    """

    columns: dict[str, tuple[str, ...]] = {}
    without: tuple[str, ...] = ()
    times: Times | None = None
    zone: str | None = None
    gravity: GravityUnit | None = None
    temperature: TemperatureUnit | None = None
    battery: BatteryUnit | None = None
    decimal: Decimal | None = None
    delimiter: Delimiter | None = None
    encoding: Encoding | None = None
    header: bool | None = None
    skip_lines: int | None = None
    missing: tuple[str, ...] = ()
    vessel: str | None = None
    make_ids: bool | None = None

    def over(self, other: Mapping) -> Mapping:
        """What is stated here, and where nothing is, what `other` states; a stated column is not left out, nor a stated
        vessel read from a column."""
        columns = other.columns | self.columns
        if self.vessel is not None and "vessel" not in self.columns:
            columns.pop("vessel", None)
        without = self.without or tuple(role for role in other.without if role not in self.columns)
        fields = {f: getattr(self, f) for f in self.__struct_fields__ if getattr(self, f) != getattr(Mapping(), f)}
        return msgspec.structs.replace(other, **{**fields, "columns": columns, "without": without})

    def of_typed_columns(self) -> Mapping:
        """What of it means something for a file that has typed columns, and not text."""
        nothing = dict.fromkeys(("decimal", "encoding", "header", "skip_lines"))
        return msgspec.structs.replace(self, **nothing, delimiter="comma")

    def as_readings_file(self) -> Mapping:
        """What is stated, and where nothing is, what holds for a readings file."""
        return self.over(
            Mapping(
                times="iso",
                gravity="sg",
                temperature="C",
                battery="V",
                decimal="point",
                encoding="utf-8",
                header=True,
                skip_lines=0,
                make_ids=False,
            )
        )

    @property
    def has_header(self) -> bool:
        """Whether the first line names the columns."""
        return self.header is not False

    @property
    def title_lines(self) -> int:
        """How many lines come before that."""
        return self.skip_lines or 0

    @property
    def units(self) -> ReportedUnits:
        """Of the values in the file."""
        return ReportedUnits(self.gravity or "sg", self.temperature or "C", self.battery or "V")

    @property
    def decimal_comma(self) -> bool:
        """Whether numbers are written 1,012."""
        return self.decimal == "comma"

    @property
    def understood(self) -> str:
        """All of it in one way of writing it."""
        whole = msgspec.structs.replace(self.as_readings_file(), missing=tuple(sorted(self.missing)))
        return msgspec.json.encode(whole, order="deterministic").decode()


def checked_mapping(where: str, entered: object, names: Names = AS_IN_A_FILE) -> Mapping:
    """The mapping that these keys describe, which are the fields of `Mapping`; a column may be one name or a list.

    Args:
        where: named first in every error.
        names: what a key is called in an error, where it was not typed as such.
    Raises:  UsageError that names the key, what was seen and what was expected.
    """
    return Mapping(**checked_keys(where, as_table(where, entered), _KEYS, names=names))


def _zone(value: Any) -> str:
    name = text(value)
    try:
        zone_info(name)
    except ValueError as exc:
        raise NotThatError(ZONE_NAME) from exc
    return name


def _columns(value: Any) -> dict[str, tuple[str, ...]]:
    if not isinstance(value, dict) or not all(isinstance(names, str | list | tuple) for names in value.values()):
        raise NotThatError('a table such as { time = ["Date", "Time"], gravity = "Density" }')
    for role in value:
        if role not in ROLES:
            raise NotThatError(f"columns for {', '.join(ROLES)}; {role!r} is none of them")
    columns = {role: (names,) if isinstance(names, str) else tuple(map(text, names)) for role, names in value.items()}
    for role, names in columns.items():
        if len(names) != 1 and (role != "time" or not names):
            raise NotThatError(f"one column for {role}")
    return columns


def _texts(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list | tuple):
        raise NotThatError('a list such as ["-999", "NA"]')
    return tuple(map(text, value))


def _without(value: Any) -> tuple[str, ...]:
    roles = _texts(value)
    if not set(roles) <= set(OPTIONAL) or {"gravity", "temperature"} <= set(roles):
        raise NotThatError(f"some of {', '.join(OPTIONAL)} in a list, but not both gravity and temperature")
    return roles


def _truth(value: Any) -> bool:
    if not isinstance(value, bool):
        raise NotThatError("true or false")
    return value


def _unit(words: dict[str, Any]) -> Any:
    word = one_of(tuple(words))
    return lambda value: words[word(value)]


_KEYS = {
    "columns": ("columns", _columns),
    "without": ("without", _without),
    "times": ("times", one_of(get_args(Times))),
    "zone": ("zone", _zone),
    "gravity": ("gravity", _unit(GRAVITY_WORDS)),
    "temperature": ("temperature", _unit(TEMPERATURE_WORDS)),
    "battery": ("battery", one_of(get_args(BatteryUnit))),
    "decimal": ("decimal", one_of(get_args(Decimal))),
    "delimiter": ("delimiter", one_of(get_args(Delimiter))),
    "encoding": ("encoding", one_of(get_args(Encoding))),
    "header": ("header", _truth),
    "skip_lines": ("skip_lines", whole_number(0, 10_000, "")),
    "missing": ("missing", _texts),
    "vessel": ("vessel", an_id),
    "make_ids": ("make_ids", _truth),
}
