"""What a SenML value means as a column of readings: quantity and unit, by the register of SenML units."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import NamedTuple

from lullwort.collector.senml.elements import EXACT
from lullwort.collector.senml.resolve import RefusedRecordError, Resolved
from lullwort.collector.table.unitguess import unit_probably_meant

__all__ = ["QUANTITIES", "Measured", "measured"]

_ONE = Decimal(1)

_SECONDARY = {
    "dBm": ("dBW", _ONE, Decimal(-30)),
    "mV": ("V", Decimal("1e-3"), Decimal(0)),
    "/100": ("/", Decimal("1e-2"), Decimal(0)),
    "/1000": ("/", Decimal("1e-3"), Decimal(0)),
    "ppm": ("/", Decimal("1e-6"), Decimal(0)),
    "ug/m3": ("kg/m3", Decimal("1e-9"), Decimal(0)),
}
"""[RFC8798] Primary unit, scale and offset: primary = secondary × scale + offset."""

_UNITS: dict[str, dict[str, str]] = {
    "gravity": {"/": "sg", "%": "sg"},
    "density": {"kg/m3": "kg_m3"},
    "temperature": {"Cel": "C", "K": "K"},
    "inclination": {"rad": "", "deg": ""},
    "battery": {"V": "V", "%EL": "%"},
    "signal": {"dBW": ""},
}
"""For each quantity, units of SenML and what they are called here; [RFC8428] 12.1: % is the same ratio as /."""

QUANTITIES = (*_UNITS, "vessel")
_DECIMALS = 9
"""A radian has no exact degrees; a billionth of one is far below what any sensor tells."""


class Measured(NamedTuple):
    """A value of one of QUANTITIES but vessel; `unit` as in ReportedUnits, empty where there is only one.

    Inclination is in degrees and signal in dBm.
    """

    quantity: str
    value: float
    unit: str


def measured(quantity: str, record: Resolved, *, secondary_units: bool) -> Measured:
    """The value of `record` as a quantity. Raises RefusedRecordError for another kind of value or another unit."""
    if record.kind != "v":
        raise RefusedRecordError(record.kind, record.value, f"a number, v, for {quantity}")
    value, unit = record.value, record.unit
    if secondary_units and unit in _SECONDARY:
        unit, scale, offset = _SECONDARY[unit]
        value = EXACT.add(EXACT.multiply(value, scale), offset)
    if unit not in _UNITS[quantity]:
        raise RefusedRecordError("u", record.unit or "no unit", _expected(quantity, record.unit))
    named = _UNITS[quantity][unit]
    if quantity == "signal":
        return Measured(quantity, round(_float(EXACT.add(value, 30)), _DECIMALS), named)
    number = _float(value)
    if quantity == "inclination":
        degrees = math.degrees(number) if unit == "rad" else number
        return Measured(quantity, round(_finite(degrees), _DECIMALS), named)
    if quantity == "gravity" or quantity == "density":
        meant = unit_probably_meant(number, "sg" if quantity == "gravity" else "kg_m3")
        if meant is not None:
            raise RefusedRecordError("v", record.value, f"{quantity} in {record.unit}; this looks like {meant}")
    return Measured(quantity, number, named)


def _expected(quantity: str, unit: str) -> str:
    units = f"a unit of {quantity}: {' or '.join(_UNITS[quantity])}"
    return f"{units} (secondary units need bver 26)" if unit in _SECONDARY else units


def _float(value: Decimal) -> float:
    return _finite(float(value))


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise RefusedRecordError("v", value, "a finite number")
    return value
