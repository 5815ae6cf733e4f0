"""What `lullwort priming` tells of a beer that is primed already, or closed: what is in it, and no amounts to weigh."""

from __future__ import annotations

from typing import Any, NamedTuple

from lullwort.cli.primingsource import Asked
from lullwort.cli.showpriming import label, sealing_with
from lullwort.detector import Units
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day import Sealing, priming_for, priming_kind
from lullwort.standing import TOO_MUCH, co2_about

__all__ = ["PrimedAlready", "primed_already", "primed_document", "primed_says"]

_MISSES = 0.05
# Of what it wants in all; less is not weighed after it.


class PrimedAlready(NamedTuple):
    """What went in, as it is on record.

    Attributes:
        sugar, grams: of what how much; nothing and 0 where a packaged batch has nothing of it on record.
        sealing: what it comes to in the bottle, None where that is not known, and where `too_much` says that it is far
            beyond any bottle.
        missing_g: [g] more that would come to the target; 0 where hardly any would, and of what is not proved or is
            packaged.
    """

    sugar: str
    grams: float
    sealing: Sealing | None
    too_much: bool
    missing_g: float


def primed_already(asked: Asked) -> PrimedAlready | None:
    """None where nothing went in yet, and nothing is closed."""
    if asked.of is None:
        return None
    day, packaged = asked.of.batch.packaging_day, asked.of.judged.verdict == "packaged"
    if not day.primed_g or day.sugar is None:
        return PrimedAlready("", 0.0, None, False, 0.0) if packaged and asked.proved else None
    kind = priming_kind(day.sugar, asked.of.judged)
    if kind is None or asked.moved is None or asked.held is None:
        return PrimedAlready(day.sugar, day.primed_g, None, False, 0.0)
    sealing = sealing_with(asked, kind, day.primed_g)
    too_much = sealing is None or sealing.beyond_all
    missing_g, target = 0.0, asked.day.target_g_l
    if target is not None and asked.proved and not packaged and not too_much and asked.limit.takes(target):
        try:
            wants_g = priming_for(kind, asked.moved, asked.held, asked.left or (0.0, 0.0), target).grams
        except OutOfRangeError:
            wants_g = 0.0
        if wants_g - day.primed_g > _MISSES * wants_g:
            missing_g = wants_g - day.primed_g
    return PrimedAlready(day.sugar, day.primed_g, None if too_much else sealing, too_much, missing_g)


def primed_says(asked: Asked, primed: PrimedAlready, units: Units) -> list[str]:
    """Sentences; of what is not proved its danger has been told before them."""
    assert asked.of is not None
    name = asked.of.batch.name
    if not primed.grams:
        return [
            "It is packaged, so no priming is told. What went in is not on record; `lullwort batch edit "
            f"batch:{name} --primed WEIGHT --priming-sugar KIND` keeps it."
        ]
    says = f"Already in it: {units.weight(primed.grams)} of {label(primed.sugar)}"
    if primed.too_much:
        says += f", which come to {TOO_MUCH}"
    elif primed.sealing is not None:
        says += f", which come to {co2_about(primed.sealing, units)}."
    else:
        says += "; to what that comes nobody can tell yet."
    lines = [f"{says} Do not sugar it twice."]
    sealing = primed.sealing
    if not asked.proved:
        return lines  # its danger has been told, with how to handle it
    if primed.too_much or (sealing is not None and sealing.at_room.exceeds):
        certain = sealing is None or not asked.limit.takes(sealing.about_g_l)
        lines.append(
            f"That {'is' if certain else 'may be'} too much ({asked.bears(units)}): keep the bottles cold, closed in "
            "and away from people, and handle them only with eyes and hands covered."
        )
    elif primed.missing_g and asked.day.target_g_l is not None:
        lines.append(
            f"For {units.co2(asked.day.target_g_l)} about {units.weight(primed.missing_g)} more are missing: once "
            "bottles are filled, leave it as it is."
        )
    return lines


def primed_document(primed: PrimedAlready | None) -> dict[str, Any] | None:
    """For other programs; None where nothing went in."""
    if primed is None or not primed.grams:
        return None
    of = primed.sealing
    return {
        "kind": primed.sugar,
        "grams": primed.grams,
        "comes_to_g_l": None if of is None else {"value": round(of.about_g_l, 3), "upper": round(of.at_most_g_l, 3)},
        "too_much": primed.too_much,
        "missing_grams": round(primed.missing_g, 2),
    }
