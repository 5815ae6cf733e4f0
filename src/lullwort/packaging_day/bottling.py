"""How many bottles the beer fills, of which sizes, and what is left over or finds none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from lullwort.explained import COMMON_PRACTICE, OURS, Explained
from lullwort.packaging_day.moved import Moved
from lullwort.packaging_day.uncertain import SPREAD
from lullwort.records import BottleLot, ContainerName
from lullwort.units import VolumeUnit, to_litres

__all__ = ["BOTTLING_EXPLAINED", "FilledLot", "Filling", "filling_of", "usual_bottles"]

_SPARE = 2
# For one that breaks, and one that does not come clean. Common practice, no source.
_UL = 1_000_000
# [µL/L] Whole microlitres add up exactly, so that 17.5 L are 35 bottles of 0.5 L and not 34.
_TWELVE_OUNCES_L = 12.0 / 128.0 * to_litres(1.0, "us gal")


class FilledLot(NamedTuple):
    """Bottles of one size.

    Attributes:
        volume_l:  [L] in each when it is full.
        there:     how many there are; None for as many as it takes.
        filled:    how many of them the beer fills.
        fewest, most: of these in 9 of 10 cases, for the volume is known only so well.
        sanitised: how many to make ready: `most` and the spare ones, never more than there are.
    """

    volume_l: float
    there: int | None
    filled: int
    fewest: int
    most: int
    sanitised: int


class Filling(NamedTuple):
    """What becomes of the beer.

    Attributes:
        lots:    in the order in which they are filled, the largest size first.
        filled, fewest, most: bottles in all, about and in 9 of 10 cases.
        left_l:  [L] that fills none of the bottles that are left, or for which there is none left.
        more:    bottles that are missing, of the size of which there are most; None where there are enough.
        more_most: how many are missing at most, in 9 of 10 cases; 0 where they suffice even then.
    """

    lots: tuple[FilledLot, ...]
    filled: int
    fewest: int
    most: int
    left_l: float
    more: BottleLot | None
    more_most: int

    @property
    def sanitised(self) -> int:
        """Bottles to make ready in all."""
        return sum(lot.sanitised for lot in self.lots)

    @property
    def unused(self) -> tuple[BottleLot, ...]:
        """Bottles of which there is a number, and which stay empty."""
        rest = (BottleLot(lot.volume_l, lot.there - lot.filled) for lot in self.lots if lot.there is not None)
        return tuple(lot for lot in rest if lot.count)


def usual_bottles(container: ContainerName | None, volume_unit: VolumeUnit = "L") -> tuple[BottleLot, ...]:
    """What is filled where nobody said: as many as it takes of the size that is usual. Common practice, no source.

    >>> usual_bottles(None), usual_bottles("keg")
    ((BottleLot(volume_l=0.5, count=0),), (BottleLot(volume_l=19.0, count=0),))
    """
    if container == "keg":
        return (BottleLot(19.0, 0),)
    if container == "sparkling-wine":
        return (BottleLot(0.75, 0),)
    return (BottleLot(round(_TWELVE_OUNCES_L, 6) if volume_unit == "us gal" else 0.5, 0),)


def filling_of(moved: Moved, bottles: Sequence[BottleLot], *, partly: bool = False) -> Filling:
    """What `bottles` take of the beer that is moved, largest first.

    The largest first makes the fewest bottles to clean, to fill and to cap, and leaves the small ones for the end,
    where the rest is smallest. Only full bottles are counted; what fills none is `left_l`. A count of 0 stands for as
    many as it takes, and lots of one size are one.

    Args:    bottles: one lot or more, of sizes from 50 mL on. partly: whether the last one may be part-filled, as a
             keg may, and so takes the rest; none is spare then.
    Raises:  ValueError for no bottles, or one that holds nothing.

    >>> filling = filling_of(Moved(17.1, 1.0, 1.9, "usual losses"), [BottleLot(0.33, 20), BottleLot(0.5, 24)])
    >>> [(lot.volume_l, lot.filled, lot.fewest, lot.most, lot.sanitised) for lot in filling.lots]
    [(0.5, 24, 24, 24, 24), (0.33, 15, 10, 20, 20)]
    >>> filling.filled, round(filling.left_l, 2), filling.more
    (39, 0.15, None)
    """
    sizes = _sizes(bottles)
    about = _of(sizes, _ul(moved.volume_l), partly)
    low, high = (_ul(max(0.0, moved.volume_l + way * SPREAD * moved.sd_l)) for way in (-1.0, 1.0))
    seen = [about.filled, *(counts.filled for counts in _every(sizes, low, high, partly))]
    totals = [sum(filled) for filled in seen]
    spans = [(min(of_one), max(of_one)) for of_one in zip(*seen, strict=True)]
    spare = None if partly else max(range(len(sizes)), key=lambda nth: about.filled[nth])
    lots = tuple(
        FilledLot(
            size.ul / _UL, size.there, filled, *span, _at_most(span[1] + (_SPARE if nth == spare else 0), size.there)
        )
        for nth, (size, filled, span) in enumerate(zip(sizes, about.filled, spans, strict=True))
    )
    commonest = max(sizes, key=lambda size: size.there or 0)
    missing, missing_most = (
        _missing(sizes, rest, commonest, partly) for rest in (about.rest, _of(sizes, high, partly).rest)
    )
    return Filling(
        lots, sum(about.filled), min(totals), max(totals), about.rest / _UL,
        BottleLot(commonest.ul / _UL, missing) if missing else None, missing_most,
    )  # fmt: skip


class _Size(NamedTuple):
    ul: int
    there: int | None


class _Counts(NamedTuple):
    filled: tuple[int, ...]
    rest: int
    to_next: int
    """[µL] By which there must be more beer until these counts change; 0 where they never do."""


def _ul(volume_l: float) -> int:
    return round(volume_l * _UL)


def _at_most(count: int, there: int | None) -> int:
    return count if there is None else min(count, there)


def _sizes(bottles: Sequence[BottleLot]) -> list[_Size]:
    """One for each size, the largest first; of a size with as many as it takes, the count of others adds nothing."""
    there: dict[int, int | None] = {}
    for lot in bottles:
        ul = _ul(lot.volume_l)
        if ul <= 0:
            raise ValueError(f"a bottle of {lot.volume_l} L, expected one that holds something")
        known = there.get(ul, 0)
        there[ul] = None if known is None or lot.count == 0 else known + lot.count
    if not there:
        raise ValueError("no bottles, expected one lot or more")
    return [_Size(ul, there[ul]) for ul in sorted(there, reverse=True)]


def _of(sizes: Sequence[_Size], volume: int, partly: bool) -> _Counts:
    filled, rest, steps = [], volume, []
    for size in sizes:
        count = _at_most(-(-rest // size.ul) if partly else rest // size.ul, size.there)
        rest = max(0, rest - count * size.ul)
        filled.append(count)
        if size.there is None or count < size.there:
            steps.append(size.ul - rest)
    return _Counts(tuple(filled), rest, min(steps, default=0))


def _every(sizes: Sequence[_Size], low: int, high: int, partly: bool) -> Iterator[_Counts]:
    """What is filled of every volume from `low` to `high` [µL]."""
    if partly:  # by whole vessels, which a few litres more or less hardly change
        yield from (_of(sizes, volume, partly) for volume in (low, high))
        return
    volume = low
    while True:
        counts = _of(sizes, volume, partly)
        yield counts
        if not counts.to_next or volume + counts.to_next > high:
            return
        volume += counts.to_next


def _missing(sizes: Sequence[_Size], rest: int, commonest: _Size, partly: bool) -> int:
    """Further bottles that would be filled; a rest that fills none of the smallest is no reason to look for one."""
    if partly:
        return -(-rest // commonest.ul)
    return rest // commonest.ul if rest >= sizes[-1].ul else 0


BOTTLING_EXPLAINED = (
    Explained(
        "bottles",
        "the beer that is moved / the size of a bottle, in whole bottles; of several sizes the largest first, which "
        "makes the fewest of them",
        OURS,
    ),
    Explained(
        "range of the bottles",
        "the fewest and the most that any volume within 1.645 standard deviations of it fills (9 in 10)",
        OURS,
    ),
    Explained("spare bottles", "two: one may break, one may not come clean", COMMON_PRACTICE),
)
