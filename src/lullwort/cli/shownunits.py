"""Moments and values as the settings want them shown."""

from __future__ import annotations

from lullwort.detector import Units
from lullwort.settings import Settings

__all__ = ["local_time", "units_of"]


def units_of(settings: Settings) -> Units:
    """The units that the settings ask for."""
    return Units(
        gravity="plato" if settings.gravity == "plato" else "sg",
        temperature="F" if settings.temperature == "F" else "C",
        zone=settings.zone or "UTC",
    )


def local_time(at_us: int, settings: Settings) -> str:
    """A moment as people read it, in the settings' zone, UTC where none is set."""
    return units_of(settings).moment(at_us)
