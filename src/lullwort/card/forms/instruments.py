"""What a sample was read with: those on record, or any other."""

from __future__ import annotations

import re
from collections.abc import Mapping

from lullwort.card.known.cellar import Cellar
from lullwort.card.pages.fields import Field

__all__ = ["by_refractometer", "instrument_field"]

_ANY_REFRACTOMETER = "any refractometer"
"""The choice for one that is not on record; no id of an instrument has a blank."""


def instrument_field(cellar: Cellar, name: str, option: str, group: str = "", *, refractometer: bool = False) -> Field:
    """Which one; with `refractometer` one that is not on record may be a refractometer."""
    known = [(one.name, f"{one.name} ({one.kind})") for one in cellar.book.equipment.instruments()]
    any_other = [(_ANY_REFRACTOMETER, "a refractometer (°Bx)")] if refractometer else []
    return Field(
        name, "Read with", option, choices=(("", "a hydrometer"), *any_other, *known), group=group,
        tells=("no instrument is called", "is not what it shows", "but that is a"),
    )  # fmt: skip


def by_refractometer(values: Mapping[str, str], gravity: str, read_with: str) -> dict[str, str]:
    """A bare number in the field `gravity` is in °Bx where `read_with` is a refractometer that is not on record.

    >>> by_refractometer({"gravity": "6,2", "with": "any refractometer"}, "gravity", "with")
    {'gravity': '6,2Bx'}
    """
    meant = dict(values)
    if meant.get(read_with) == _ANY_REFRACTOMETER:
        del meant[read_with]
        if re.fullmatch(r"[+-]?[0-9]*[.,]?[0-9]+", meant.get(gravity, "")):
            meant[gravity] += "Bx"
    return meant
