"""What is on record of packaging day, shortly; and a word where a container does not go with what it is to hold."""

from __future__ import annotations

from lullwort.cli.lines import say
from lullwort.cli.shownunits import units_of
from lullwort.detector import Judged, Units
from lullwort.packaging_day import ROOM_C, Sealing, bottle_doubts, closed_of, limit_of, lots_say, moved_of
from lullwort.records import Batch, PackagingDay
from lullwort.settings import Settings
from lullwort.standing import TOO_MUCH

__all__ = ["packaging_says", "say_of_bottles", "say_what_priming_comes_to", "warn_of_container"]


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
    """Say on standard error that a container does not bear, at 20 °C, what it is to hold; the usual one where none is
    named."""
    units, limit = units_of(settings), limit_of(day.container, day.limit_bar)
    if not limit.bears:
        say(
            f"In a {limit.container.name} nothing may ferment: it is not made for pressure. Bottles can burst.",
            err=True,
        )
        return
    if day.target_g_l is None or limit.takes(day.target_g_l):
        return
    makes_bar = limit.pressed_by(day.target_g_l)
    air = " and the air shut in with it" if limit.stated else ""
    if day.container is not None:
        bears = f"{_words(day.container)} bears ({units.gauge(limit.bar)})"
    elif limit.stated:
        bears = f"its container bears ({units.gauge(limit.bar)})"
    else:
        bears = f"{limit.container.called} bear ({units.gauge(limit.bar)}; they are taken, for no container is named)"
    say(
        f"{units.co2(day.target_g_l)} of CO2{air} make {units.gauge(makes_bar)} at {units.temp(ROOM_C, 0)}, more "
        f"than {bears}: less CO2, or a stronger container. Bottles can burst.",
        err=True,
    )


def say_what_priming_comes_to(batch: Batch, judged: Judged, settings: Settings) -> None:
    """Say what the priming on record comes to in the bottle, by the sums of `lullwort sealed`; on standard error where
    that is more than the container bears, with how to handle it.

    Args:    judged: as it stood when it was primed, which is before it was packaged.
    """
    units, closed = units_of(settings), closed_of(batch, judged, proved=True)
    if closed.by_target or not batch.packaging_day.primed_g or not closed.limit.bears:
        return
    if closed.exceeds:
        comes_to = TOO_MUCH if closed.sealing is None else f"{_comes_to(closed.sealing, units)}."
        say(f"DANGER: the priming comes to {comes_to} {_HANDLE}", err=True)
    elif closed.sealing is not None:
        upper = " At the upper end that is too much: keep the bottles cool." if closed.sealing.at_room.exceeds else ""
        say(f"The priming comes to {_comes_to(closed.sealing, units)}.{upper}")
    else:
        say(f"What the priming comes to nobody can tell yet: `lullwort sealed batch:{batch.name}` says why.", err=True)


_HANDLE = (
    "Seal nothing that is still open; keep what is filled cold, closed in and away from people, and handle it only "
    "with eyes and hands covered. Bottles can burst."
)


def _comes_to(sealing: Sealing, units: Units) -> str:
    room, limit = sealing.at_room, sealing.limit
    bears = "this container bears" if limit.stated else f"{limit.container.called} bear"
    number, _, unit = units.co2(sealing.about_g_l).partition(" ")
    most = units.co2(sealing.at_most_g_l).partition(" ")[0]
    return (
        f"about {number}, at most {most} {unit} and {units.gauge(room.at_most_bar)} at {units.temp(room.temp_c, 0)}; "
        f"{bears} {units.gauge(limit.bar)}"
    )


def say_of_bottles(batch: Batch, settings: Settings) -> None:
    """Say on standard error what of the bottles on record hardly goes with the beer that there is."""
    for says in bottle_doubts(batch.packaging_day, moved_of(batch), units_of(settings)):
        say(says, err=True)
