"""What is entered of packaging day, checked key by key: from a batches file or from a command's options alike."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType
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
from lullwort.detector import Units
from lullwort.errors import UsageError
from lullwort.records import CONTAINER_NAMES, SUGAR_NAMES, BottleLot, PackagingDay
from lullwort.science import PRIMING

__all__ = [
    "BOTTLE_SIZES_L",
    "MOST_BOTTLES",
    "PACKAGING_RANGES",
    "checked_packaging_day",
    "refuse_packaging_contradictions",
]

BOTTLE_SIZES_L = (0.05, 1000.0)
MOST_BOTTLES = 100_000

PACKAGING_RANGES = MappingProxyType(
    {
        "target_g_l": (0.9885, 14.0, " g/L"),
        "limit_bar": (0.5, 20.0, " bar"),
        "losses_l": (0.0, 10_000.0, " L"),
        "moved_l": (0.1, 100_000.0, " L"),
        "primed_g": (0.0, 1_000_000.0, " g"),
    }
)
"""Of each number its least, its most and its unit: half a volume to seven, more than any bottled drink holds, and no
bottle or vessel for beer at home that bears more. Common practice, no source."""


def _bottles(least_count: int, how_many: str) -> Check:
    """Lots as pairs of [L] a bottle and how many there are."""
    low, high = BOTTLE_SIZES_L
    expected = f"pairs such as [[0.5, 24]]: litres a bottle, {low:g} to {high:g}, and {how_many}"

    def check(value: Any) -> tuple[BottleLot, ...]:
        if not isinstance(value, list | tuple):
            raise NotThatError(expected)
        lots = []
        for pair in value:
            if not isinstance(pair, list | tuple) or len(pair) != 2:
                raise NotThatError(expected)
            size, count = pair
            if isinstance(size, bool) or not isinstance(size, int | float) or not low <= size <= high:
                raise NotThatError(expected)
            if isinstance(count, bool) or not isinstance(count, int) or not least_count <= count <= MOST_BOTTLES:
                raise NotThatError(expected)
            lots.append(BottleLot(float(size), count))
        return tuple(lots)

    return check


_KEYS: dict[str, tuple[str, Check]] = {
    **{key: (key, a_number(*bounds)) for key, bounds in PACKAGING_RANGES.items()},
    "container": ("container", one_of(CONTAINER_NAMES)),
    "sugar": ("sugar", one_of(SUGAR_NAMES)),
    "bottles": ("bottles", _bottles(0, "how many, 0 for as many as it takes")),
    "filled": ("filled", _bottles(1, "how many")),
}


def checked_packaging_day(
    where: str, entered: object, names: Names = AS_IN_A_FILE, known: PackagingDay | None = None
) -> PackagingDay:
    """`known`, or nothing, with what these entries say of packaging day; None takes a key of it back. Other arguments,
    and UsageError, as of `checked_batch`.

    Another container than the known one does not take over its limit.
    """
    given = as_table(where, entered)
    taken_back = {
        field.name: field.default
        for field in msgspec.structs.fields(PackagingDay)
        if field.name in given and given[field.name] is None
    }
    fields = checked_keys(where, {key: given[key] for key in given if key not in taken_back}, _KEYS, names=names)
    fields |= taken_back
    if known is not None and known.container not in (None, fields.get("container", known.container)):
        fields.setdefault("limit_bar", None)
    return msgspec.structs.replace(known or PackagingDay(), **fields)


def refuse_packaging_contradictions(
    where: str, day: PackagingDay, volume_l: float | None, names: Names = AS_IN_A_FILE, units: Units | None = None
) -> None:
    """Raise UsageError where entries, each right by itself, cannot all be. Arguments as of `checked_batch`."""

    def amount(key: str, litres: float) -> str:
        return f"{names.get(key, key)} {f'{litres:g}' if units is None else units.amount(litres)}"

    if day.losses_l is not None and volume_l is not None and day.losses_l >= volume_l:
        raise UsageError(
            f"{where}: {amount('losses_l', day.losses_l)} leaves nothing of {amount('volume_l', volume_l)}"
        )
    if day.moved_l is not None and volume_l is not None and day.moved_l > _GROWS * volume_l:
        raise UsageError(
            f"{where}: {amount('moved_l', day.moved_l)} is more than the vessel held, {amount('volume_l', volume_l)}: "
            "is its unit right?"
        )
    _refuse_too_many_bottles(where, day, volume_l, amount)
    _refuse_priming(where, day, volume_l, names, units)


def _refuse_too_many_bottles(
    where: str, day: PackagingDay, volume_l: float | None, amount: Callable[[str, float], str]
) -> None:
    filled_l = sum(lot.volume_l * lot.count for lot in day.filled)
    key, there_l = ("volume_l", volume_l) if day.moved_l is None else ("moved_l", day.moved_l)
    # What primes it may be wort or a syrup, and makes more of it.
    if there_l is not None and filled_l > _GROWS * there_l + _A_BOTTLE_L:
        raise UsageError(
            f"{where}: {amount('filled', filled_l)} in all is more than there was to fill, {amount(key, there_l)}: are "
            "sizes and units right?"
        )


def _refuse_priming(where: str, day: PackagingDay, volume_l: float | None, names: Names, units: Units | None) -> None:
    sugar, primed = (names.get(key, key) for key in ("sugar", "primed_g"))
    if day.primed_g is None:
        return
    if day.sugar is None:
        raise UsageError(f"{where}: {primed} goes with {sugar}: what was it?")
    beer_l = volume_l if day.moved_l is None else day.moved_l
    kind = PRIMING.get(day.sugar)
    if beer_l is None or kind is None:  # wort makes as much as it happens to
        return
    made = kind.co2 * day.primed_g / beer_l
    if made > PACKAGING_RANGES["target_g_l"][1]:
        shown = units or Units(carbonation="g/L")
        weight = f"{day.primed_g:g}" if units is None else units.weight(day.primed_g)
        raise UsageError(
            f"{where}: {primed} {weight} of {day.sugar} in {shown.amount(beer_l)} would make {shown.co2(made)} of "
            "carbon dioxide, which no bottle holds: is its unit right?"
        )


_GROWS = 1.1
# Of one bucket read twice; more than that is another volume, or another unit.
_A_BOTTLE_L = 1.0
# The last one may hold what was in the hose.
