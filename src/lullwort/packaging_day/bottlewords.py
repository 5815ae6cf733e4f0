"""Bottles, said as brewers count them."""

from __future__ import annotations

from lullwort.detector import Units
from lullwort.records import BottleLot

__all__ = ["lots_say"]


def lots_say(lots: tuple[BottleLot, ...], units: Units) -> str:
    """As '24 of 330 mL and 10 of 500 mL'; those of one litre and more in the unit of volumes.

    >>> lots_say((BottleLot(0.33, 24), BottleLot(0.5, 0)), Units())
    '24 of 330 mL and as many as it takes of 500 mL'
    """
    said = [f"{lot.count or 'as many as it takes'} of {units.serving(lot.volume_l)}" for lot in lots]
    return " and ".join(said)
