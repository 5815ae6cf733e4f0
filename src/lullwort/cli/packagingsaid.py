"""What is on record of packaging day, shortly; and a word where a container does not go with what it is to hold."""

from __future__ import annotations

from lullwort.cli.lines import say
from lullwort.cli.shownunits import units_of
from lullwort.detector import Units
from lullwort.packaging_day import CONTAINERS, ROOM_C, limit_of, lots_say
from lullwort.records import PackagingDay
from lullwort.settings import Settings

__all__ = ["packaging_says", "warn_of_container"]


def packaging_says(day: PackagingDay, units: Units) -> list[str]:
    """Each thing that was entered, in a few words, those that were meant before those that were done.

    >>> packaging_says(PackagingDay(target_g_l=4.745, container="brown-glass", sugar="sucrose"), Units())
    ['to hold 2.4 volumes of CO2', 'container brown glass', 'to be primed with sucrose']
    """
    parts = []
    if day.target_g_l is not None:
        parts.append(f"to hold {units.co2(day.target_g_l)} of CO2")
    if day.container is not None:
        parts.append(f"container {_words(day.container)}")
    if day.limit_bar is not None:
        parts.append(f"{'container' if day.container is None else 'which'} bears {units.gauge(day.limit_bar)}")
    if day.losses_l is not None:
        parts.append(f"{units.amount(day.losses_l)} to stay behind")
    if day.bottles:
        parts.append(f"bottles: {lots_say(day.bottles, units)}")
    if day.moved_l is not None:
        parts.append(f"{units.amount(day.moved_l)} moved")
    if day.sugar is not None and day.primed_g is None:
        parts.append(f"to be primed with {_words(day.sugar)}")
    elif day.sugar is not None and day.primed_g is not None:
        parts.append(f"primed with {units.weight(day.primed_g)} of {_words(day.sugar)}")
    if day.filled:
        parts.append(f"filled: {lots_say(day.filled, units)}")
    return parts


def _words(name: str) -> str:
    return name.replace("-", " ")


def warn_of_container(day: PackagingDay, settings: Settings) -> None:
    """Say on standard error that a container does not bear, at 20 °C, what it is to hold."""
    container = None if day.container is None else CONTAINERS[day.container]
    if container is not None and container.volumes is None:
        say(f"In a {container.name} nothing may ferment: it is not made for pressure. Bottles can burst.", err=True)
        return
    if day.target_g_l is None or (container is None and day.limit_bar is None):
        return
    units, limit = units_of(settings), limit_of(day.container, day.limit_bar)
    if not limit.takes(day.target_g_l):
        makes_bar = limit.pressed_by(day.target_g_l)
        air = " and the air shut in with it" if limit.stated else ""
        called = "its container" if container is None else _words(container.name)
        say(
            f"{units.co2(day.target_g_l)} of CO2{air} make {units.gauge(makes_bar)} at {units.temp(ROOM_C, 0)}, more "
            f"than {called} bears ({units.gauge(limit.bar)}): less CO2, or a stronger container. Bottles can burst.",
            err=True,
        )
