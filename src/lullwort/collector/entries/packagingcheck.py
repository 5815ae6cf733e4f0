"""What is entered of packaging day, checked key by key: from a batches file or from a command's options alike."""

from __future__ import annotations

from typing import Any

import msgspec

from lullwort.collector.entries.keycheck import (
    AS_IN_A_FILE,
    Check,
    Names,
    NotThatError,
    a_number,
    as_table,
    checked_keys,
    one_of,
)
from lullwort.errors import UsageError
from lullwort.records import CONTAINER_NAMES, SUGAR_NAMES, BottleLot, PackagingDay

__all__ = ["checked_packaging_day", "refuse_packaging_contradictions"]

_SIZES_L = (0.05, 1000.0)
_MOST_BOTTLES = 100_000


def _bottles(value: Any) -> tuple[BottleLot, ...]:
    """Lots as pairs of [L] a bottle and how many there are."""
    expected = f"pairs such as [[0.5, 24]]: litres a bottle, {_SIZES_L[0]:g} to {_SIZES_L[1]:g}, and how many"
    if not isinstance(value, list | tuple):
        raise NotThatError(expected)
    lots = []
    for pair in value:
        if not isinstance(pair, list | tuple) or len(pair) != 2:
            raise NotThatError(expected)
        size, count = pair
        if isinstance(size, bool) or not isinstance(size, int | float) or not _SIZES_L[0] <= size <= _SIZES_L[1]:
            raise NotThatError(expected)
        if isinstance(count, bool) or not isinstance(count, int) or not 0 <= count <= _MOST_BOTTLES:
            raise NotThatError(expected)
        lots.append(BottleLot(float(size), count))
    return tuple(lots)


_KEYS: dict[str, tuple[str, Check]] = {
    "target_g_l": ("target_g_l", a_number(1.0, 14.0, " g/L")),
    "container": ("container", one_of(CONTAINER_NAMES)),
    "limit_bar": ("limit_bar", a_number(0.5, 20.0, " bar")),
    "sugar": ("sugar", one_of(SUGAR_NAMES)),
    "losses_l": ("losses_l", a_number(0.0, 10_000.0, " L")),
    "bottles": ("bottles", _bottles),
    "moved_l": ("moved_l", a_number(0.1, 100_000.0, " L")),
    "primed_g": ("primed_g", a_number(0.0, 1_000_000.0, " g")),
    "filled": ("filled", _bottles),
}


def checked_packaging_day(
    where: str, entered: object, names: Names = AS_IN_A_FILE, known: PackagingDay | None = None
) -> PackagingDay:
    """`known`, or nothing, with what these entries say of packaging day. Arguments and UsageError as of
    `checked_batch`.

    Another container than the known one does not take over its limit.
    """
    fields = checked_keys(where, as_table(where, entered), _KEYS, names=names)
    if known is not None and known.container not in (None, fields.get("container", known.container)):
        fields.setdefault("limit_bar", None)
    return msgspec.structs.replace(known or PackagingDay(), **fields)


def refuse_packaging_contradictions(
    where: str, day: PackagingDay, volume_l: float | None, names: Names = AS_IN_A_FILE
) -> None:
    """Raise UsageError where entries, each right by itself, cannot all be. Arguments as of `checked_batch`."""
    losses, moved, volume, sugar, primed = (
        names.get(key, key) for key in ("losses_l", "moved_l", "volume_l", "sugar", "primed_g")
    )
    if volume_l is not None and day.losses_l is not None and day.losses_l >= volume_l:
        raise UsageError(f"{where}: {losses} {day.losses_l:g} L leave nothing of {volume} {volume_l:g} L")
    if volume_l is not None and day.moved_l is not None and day.moved_l > _GROWS * volume_l:
        raise UsageError(
            f"{where}: {moved} {day.moved_l:g} L is more than the vessel held, {volume} {volume_l:g} L: is its unit "
            "right?"
        )
    if day.primed_g is not None and day.sugar is None:
        raise UsageError(f"{where}: {primed} goes with {sugar}: what was it?")


_GROWS = 1.1
# Of one bucket read twice; more than that is another volume, or another unit.
