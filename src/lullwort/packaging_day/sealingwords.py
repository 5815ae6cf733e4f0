"""What a closed bottle comes to at each temperature, as a brewer reads it, and the cautions that stand beside it."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.detector import Units
from lullwort.packaging_day.containers import Container
from lullwort.packaging_day.sealing import Sealing

__all__ = ["TempRow", "closing_caution", "temp_rows"]

_MOST_SHOWN_BAR = 15.0
# What is higher is understated, and nothing for beer bears it.
_BOTTLES = (
    "Bottles can burst: keep filled ones in a closed crate, away from people and warmth, and cover eyes and hands when "
    "you handle them. A chip or scratch makes any of them bear less."
)
_KEG = (
    "A keg needs a relief valve that works, set to no more than its maker allows; let its pressure off before you open "
    "it, and air the room, for carbon dioxide gathers."
)


class TempRow(NamedTuple):
    """The pressures in a bottle kept at one temperature, and `word` where its limit may be exceeded."""

    kept_at: str
    about: str
    at_most: str
    limit: str
    margin: str
    word: str


def temp_rows(sealing: Sealing, units: Units) -> list[TempRow]:
    """Cold to warm."""
    limit_bar = sealing.limit.bar
    return [
        TempRow(
            units.temp(row.temp_c, 0),
            _gauge(row.about_bar, units),
            _gauge(row.at_most_bar, units),
            units.gauge(limit_bar),
            "-" if row.at_most_bar > _MOST_SHOWN_BAR else units.gauge_margin(limit_bar, row.at_most_bar),
            "may burst" if row.exceeds else "",
        )
        for row in sealing.at
    ]


def closing_caution(container: Container) -> str:
    """What stands beside every pressure in such a container."""
    return _KEG if container.name == "keg" else _BOTTLES


def _gauge(bar: float, units: Units) -> str:
    return units.gauge(bar) if bar <= _MOST_SHOWN_BAR else f"over {units.gauge(_MOST_SHOWN_BAR)}"
