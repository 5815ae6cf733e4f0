"""What of the bottles on record hardly goes with the beer that there is, in sentences."""

from __future__ import annotations

from lullwort.detector import Units
from lullwort.packaging_day.bottlewords import lots_say
from lullwort.packaging_day.moved import Moved
from lullwort.records import BottleLot, PackagingDay

__all__ = ["bottle_doubts"]

_FEW, _MANY = 0.7, 3.0
# As shares of the beer: fewer bottles than that are no estimate any more, and nobody has so many.


def bottle_doubts(day: PackagingDay, moved: Moved | None, units: Units) -> list[str]:
    """A sentence for each: a bottle larger than the beer, far too few or too many to fill, too few filled for it.

    >>> few = PackagingDay(bottles=(BottleLot(0.5, 10),))
    >>> bottle_doubts(few, Moved(17.1, 1.0, 1.9, "usual losses"), Units())
    ['10 of 500 mL take 5.0 L of 17.1 L: for 12.1 L there is no bottle.']
    >>> bottle_doubts(PackagingDay(bottles=(BottleLot(0.5, 35),)), Moved(17.1, 1.0, 1.9, "usual losses"), Units())
    []
    """
    if moved is None or moved.volume_l <= 0.0:
        return []
    return [says for says in (_of_plan(day, moved, units), _of_filled(day, moved, units)) if says]


def _of_plan(day: PackagingDay, moved: Moved, units: Units) -> str:
    beer, lots = units.amount(moved.volume_l), day.bottles
    if day.container != "keg" and (too_large := [lot for lot in lots if lot.volume_l > moved.volume_l]):
        size = units.serving(too_large[0].volume_l)
        return f"A bottle of {size} is larger than all the beer, {beer}: is its unit right?"
    takes_l = _holds_l(lots)
    if not lots or any(lot.count == 0 for lot in lots):  # as many as it takes
        return ""
    if takes_l < _FEW * moved.volume_l:
        rest = units.amount(moved.volume_l - takes_l)
        return f"{lots_say(lots, units)} take {units.amount(takes_l)} of {beer}: for {rest} there is no bottle."
    if takes_l > _MANY * moved.volume_l and day.container != "keg":
        return f"{lots_say(lots, units)} take {units.amount(takes_l)}, far more than {beer}: are size and count right?"
    return ""


def _of_filled(day: PackagingDay, moved: Moved, units: Units) -> str:
    filled_l = _holds_l(day.filled)
    if not day.filled or moved.losses_l is not None or filled_l >= _FEW * moved.volume_l:
        return ""
    rest = units.amount(moved.volume_l - filled_l)
    return (
        f"{lots_say(day.filled, units)} are {units.amount(filled_l)} of {units.amount(moved.volume_l)} that were "
        f"moved: where are the other {rest}? Is the count right?"
    )


def _holds_l(lots: tuple[BottleLot, ...]) -> float:
    return sum(lot.volume_l * lot.count for lot in lots)
