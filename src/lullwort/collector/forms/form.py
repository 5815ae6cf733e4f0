"""What a person states of the messages of a source: their shape, their fields, units and clock."""

from __future__ import annotations

import math
from typing import Any, Literal

import msgspec

from lullwort.collector.entries.keycheck import NotThatError, as_table, checked_keys, one_of, text
from lullwort.collector.forms.pointer import Pointer
from lullwort.collector.mapping import GRAVITY_WORDS, ROLES, TEMPERATURE_WORDS
from lullwort.errors import UsageError
from lullwort.records import VALUE_COLUMNS, ZONE_NAME, ReportedUnits, zone_info
from lullwort.units import BatteryUnit, GravityUnit, TemperatureUnit

__all__ = ["SENML", "Form", "checked_form"]


class Form(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """How to read a message.

    Attributes:
        read:   "senml": a pack, which states its own units and times; "json": any JSON by `fields`; "number": the
                message is one bare number of `quantity`.
        clock:  "sensor": at the time that the message states, where it states one; "arrival": always when it came.
        each:   where the array stands whose elements are one reading each; None: the message is one reading.
        fields: for roles of ROLES, where in that their value stands.
        times:  how stated times are written: iso (ISO 8601), unix (seconds since 1970 UTC) or unix-ms.
        zone:   IANA name, for times without an offset.
        gravity, temperature, battery: units.
        scale:  factors by which the numbers of a role are multiplied first.
        missing: values that stand for nothing, as numbers or texts.
        quantity: of a bare number.
    """

    read: Literal["senml", "json", "number"]
    clock: Literal["sensor", "arrival"] = "sensor"
    each: str | None = None
    fields: dict[str, str] = {}
    times: Literal["iso", "unix", "unix-ms"] = "iso"
    zone: str | None = None
    gravity: GravityUnit = "sg"
    temperature: TemperatureUnit = "C"
    battery: BatteryUnit = "V"
    scale: dict[str, float] = {}
    missing: tuple[float | str, ...] = ()
    quantity: str = ""

    @property
    def units(self) -> ReportedUnits:
        """Of its values."""
        return ReportedUnits(self.gravity, self.temperature, self.battery)

    @property
    def understood(self) -> str:
        """All of it in one way of writing it."""
        return msgspec.json.encode(self, order="deterministic").decode()


SENML = Form(read="senml")
"""What holds where nothing is stated."""


def checked_form(where: str, entered: object) -> Form:
    """The form that these keys describe, which are the fields of `Form`.

    Args:    where: named first in every error.
    Raises:  UsageError that names the key, what was seen and what was expected.
    """
    form = Form(**checked_keys(where, as_table(where, entered), _KEYS, required=("read",)))
    if form.read == "json" and not {"gravity", "temperature"} & form.fields.keys():
        raise UsageError(f"{where}: fields is {form.fields!r}, expected one for gravity or temperature at least")
    if form.read == "number" and not form.quantity:
        raise UsageError(f"{where}: quantity is missing; a bare number must be said to be of {_QUANTITIES}")
    if form.read != "json" and (form.fields or form.each is not None):
        raise UsageError(f"{where}: fields and each have no meaning unless read is 'json'")
    return form


_QUANTITIES = ", ".join(VALUE_COLUMNS)


def _pointer(value: Any) -> str:
    try:
        return Pointer(text(value)).text
    except NotThatError:
        raise
    except ValueError as exc:
        raise NotThatError(str(exc)) from None


def _fields(value: Any) -> dict[str, str]:
    if not isinstance(value, dict) or not set(value) <= set(ROLES):
        raise NotThatError(f'JSON Pointers for {", ".join(ROLES)}, such as {{ gravity = "/data/sg" }}')
    return {role: _pointer(pointer) for role, pointer in value.items()}


def _scale(value: Any) -> dict[str, float]:
    if not isinstance(value, dict) or not set(value) <= set(VALUE_COLUMNS) or not all(map(_is_factor, value.values())):
        raise NotThatError(f"factors above 0 for {_QUANTITIES}, such as {{ gravity = 0.001 }}")
    return {role: float(factor) for role, factor in value.items()}


def _is_factor(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0.0 < value < math.inf


def _missing(value: Any) -> tuple[float | str, ...]:
    if not isinstance(value, list) or not all(isinstance(v, int | float | str) for v in value):
        raise NotThatError('a list of numbers or texts such as [-999, "NA"]')
    return tuple(v if isinstance(v, str) else float(v) for v in value)


def _zone(value: Any) -> str:
    name = text(value)
    try:
        zone_info(name)
    except ValueError as exc:
        raise NotThatError(ZONE_NAME) from exc
    return name


def _unit(words: dict[str, Any]) -> Any:
    word = one_of(tuple(words))
    return lambda value: words[word(value)]


_KEYS = {
    "read": ("read", one_of(("senml", "json", "number"))),
    "clock": ("clock", one_of(("sensor", "arrival"))),
    "each": ("each", _pointer),
    "fields": ("fields", _fields),
    "times": ("times", one_of(("iso", "unix", "unix-ms"))),
    "zone": ("zone", _zone),
    "gravity": ("gravity", _unit(GRAVITY_WORDS)),
    "temperature": ("temperature", _unit(TEMPERATURE_WORDS)),
    "battery": ("battery", one_of(("V", "%"))),
    "scale": ("scale", _scale),
    "missing": ("missing", _missing),
    "quantity": ("quantity", one_of(VALUE_COLUMNS)),
}
