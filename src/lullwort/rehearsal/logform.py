"""How a log is written that was not made for Lullwort: as a spreadsheet exports it, saying little of itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lullwort.units import GravityUnit, TemperatureUnit

__all__ = ["LogForm"]


@dataclass(frozen=True, kw_only=True)
class LogForm:
    """Local times in UTC without an offset, no vessel, and columns that name no unit.

    Attributes:
        order: of day and month in a date. While the day is 12 at most both orders fit, so such a batch is pitched on
               the first of a month.
        decimal_comma: whether numbers have one; then fields are parted by semicolons.
        gravity, temperature: units.
    """

    order: Literal["dmy", "mdy"]
    decimal_comma: bool
    gravity: GravityUnit
    temperature: TemperatureUnit
