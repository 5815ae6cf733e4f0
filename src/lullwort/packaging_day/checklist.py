"""What is to be done for packaging, in the order of time and with its cautions in place: words only.

All of it is common practice without a source, but for what a label, a maker or the law says, which comes first.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from lullwort.detector import Units, value_range
from lullwort.explained import COMMON_PRACTICE, Explained
from lullwort.packaging_day.circumstances import Circumstances
from lullwort.packaging_day.containers import CONTAINERS
from lullwort.packaging_day.datewords import cold_range
from lullwort.packaging_day.fillingwords import sanitised_says
from lullwort.packaging_day.ondaywords import on_the_day
from lullwort.records import ContainerName
from lullwort.units import from_celsius, to_celsius

__all__ = ["CHECKLIST_EXPLAINED", "LABELS_FIRST", "Stage", "Step", "checklist", "stage_says"]

Stage = Literal["before", "day before", "on the day", "after"]

LABELS_FIRST = "What a label, the maker of a bottle or vessel, or the law where you live says comes first."


class Step(NamedTuple):
    """One thing to do: in which stage, and sentences that say how."""

    stage: Stage
    says: str


def checklist(of: Circumstances, units: Units) -> tuple[Step, ...]:
    """The steps that these circumstances ask for, in the order of time; of one that is packaged what comes after.

    What can hurt somebody as it stands comes first, and nothing of it is stored warm.

    >>> steps = checklist(Circumstances("north-12", "ready", "brown-glass"), Units())
    >>> list(dict.fromkeys(step.stage for step in steps))
    ['before', 'day before', 'on the day', 'after']
    """
    packaged, danger = of.verdict == "packaged", "" if of.danger is None else of.danger.says(units)
    steps = [Step("after" if packaged else "before", danger)]
    if not packaged:
        today = [Step("on the day", says) for says in on_the_day(of, units)]
        steps += [*_before(of, units), *_day_before(of, units), *today]
    steps += _after_danger(of) if danger else _after(of, units)
    return tuple(step for step in steps if step.says)


def stage_says(stage: Stage, crash_days: int) -> str:
    """What a stage is called, the first one by how long the beer is cold.

    >>> stage_says("before", 5), stage_says("before", 0)
    ('5 days before', 'Two days before')
    """
    if stage == "before":
        return f"{crash_days} days before" if crash_days > _TWO else "Two days before"
    return {"day before": "The day before", "on the day": "On the day", "after": "After"}[stage]


_TWO = 2


# -- days before ------------------------------------------------------------------------------------------------------


def _before(of: Circumstances, units: Units) -> list[Step]:
    waits = "" if of.ready else (
        f"The verdict is {of.verdict}, not ready: get things together and clean them; chill, prime and seal nothing."
    )  # fmt: skip
    heated = value_range(units.temp(60.0, 0), units.temp(65.0, 0))
    butter = "" if of.cold or of.pressed else (
        "Butter check, if you like, with beer of the hand sample and before the cold: two glasses of it, covered but "
        f"not sealed, one warmed up slowly in a bath of {heated} and left there for 20 minutes (it scalds, and glass "
        "cracks if it is heated at once). Cool it, and smell both. Butter in the heated one alone: leave the beer "
        "warm, and try again in a few days."
    )  # fmt: skip
    chill = "" if of.crash_days == 1 else _chill(of, units)
    return [Step("before", says) for says in (waits, butter, chill, _vessels(of, units))]


def _chill(of: Circumstances, units: Units) -> str:
    if not of.crash_days or of.cold:
        return ""
    once = "" if of.ready else " once the verdict is ready, and not before: cold hides what is left to ferment"
    if of.pressed:
        return f"Chill it to {cold_range(units)}{once}. It stays sealed."
    return (
        f"Chill it to {cold_range(units)}{once}. It draws in air while it cools: keep little in the airlock, or let it "
        "draw carbon dioxide instead, and never close a vessel tight that may be crushed."
    )


def _vessels(of: Circumstances, units: Units) -> str:
    if of.container == "keg":
        return (
            "Look the keg over: the pressure that it is rated for stands on it and is not exceeded, its seals are "
            "sound, and its relief valve lifts and closes again; without one it is not used. Let all pressure off "
            "before anything of it is unscrewed."
        )
    how_many = "the bottles"
    if of.filling is not None and of.filling.sanitised:
        spare = of.filling.sanitised > of.filling.most
        how_many = f"{sanitised_says(of.filling, units)}{', spare ones counted in' if spare else ''}"
    what = _WHAT[of.container]
    if of.container == "plastic":
        return f"Count {how_many} ({what}), and caps. Leave out what is scratched, dented or has held fuel or cleaner."
    if CONTAINERS[of.container].volumes is None:
        return f"Count {how_many} ({what}). Beer that may ferment on does not go into them."
    return (
        f"Count {how_many} ({what}), and as many caps. Hold each to the light: glass that is chipped, scratched or "
        "cracked is thrown away, for it bursts first."
    )


_WHAT: dict[ContainerName, str] = {
    "brown-glass": "ordinary beer bottles",
    "reused-glass": "one-way and swing-top bottles, which bear less",
    "thick-glass": "heavy returnable bottles",
    "sparkling-wine": "sparkling-wine bottles",
    "plastic": "plastic made for carbonated drinks",
    "growler": "jugs for carrying beer home",
}


# -- the day before ---------------------------------------------------------------------------------------------------


def _day_before(of: Circumstances, units: Units) -> list[Step]:
    what = "the keg with its tubes, posts and lid" if of.container == "keg" else "the bottles"
    carry = (
        "Bring the vessel to where it is drawn off, hours before, so that it settles again. A full one is carried by "
        "two, dry, with a hold from below: heavy glass never by its neck."
    )
    return [
        Step("day before", _chill(of, units) if of.crash_days == 1 else ""),
        Step(
            "day before",
            f"Clean all that will touch the beer, and {what}: what is dirty cannot be sanitised. Take the tap apart; "
            "its inside, threads, hose ends and the filling wand are missed most. The cleaner is as strong, acts as "
            "long and is rinsed as its label says.",
        ),
        Step(
            "day before",
            "Gloves and goggles with caustic or acid cleaners. Chemicals are never mixed, nor one put where another "
            "was not rinsed away: bleach and acid above all give off a poisonous gas.",
        ),
        Step("day before", "" if of.pressed else carry),
    ]


# -- after ------------------------------------------------------------------------------------------------------------


def _after(of: Circumstances, units: Units) -> list[Step]:
    if of.container == "keg":
        warm = "warm until it is carbonated, then cold" if of.primed else "cold"
        return [Step("after", f"Keep the keg {warm}, upright. {_LET_OFF}")]
    if CONTAINERS[of.container].volumes is None:
        return [Step("after", "Keep it cold, and drink it within days: left warm it may burst.")]
    serving = value_range(units.temp(6.0, 0), units.temp(12.0, 0))
    return [
        Step(
            "after",
            f"Store the bottles closed in, in crates or boxes with a lid, away from people, {_kept_at(of, units)}: "
            "warm ones are under far more pressure. Crates are lifted from below, no bottle by its neck alone.",
        ),
        Step(
            "after",
            f"After a week cool one down to serving temperature ({serving}) and open it over a sink. If it is flat, "
            "give the others another week. If it gushes, cover eyes and hands, chill them all, and open none warm.",
        ),
    ]


_LET_OFF = "Let its pressure off by the relief valve before it is opened."


def _after_danger(of: Circumstances) -> list[Step]:
    if of.container == "keg":
        return [Step("after", f"Keep the keg cold, upright. {_LET_OFF}")]
    return [
        Step(
            "after",
            "Open none warm: cool one down for a day, cover eyes and hands, and open it over a sink. If it gushes, "
            "chill them all before anything else is done with them.",
        )
    ]


_ROOM_C = (18.0, 22.0)
# Common practice, no source.


def _kept_at(of: Circumstances, units: Units) -> str:
    """How warm bottles are kept, no warmer than they bear."""
    low_c, high_c = _ROOM_C
    bears_c = high_c if of.holds_to_c is None else _floored(of.holds_to_c, units)
    if bears_c >= high_c:
        return f"at {value_range(units.temp(low_c, 0), units.temp(high_c, 0))} and no warmer"
    if bears_c > low_c:
        return f"at {value_range(units.temp(low_c, 0), units.temp(bears_c, 0))} and no warmer, which is what they bear"
    return f"at no more than {units.temp(bears_c, 0)}, which is what they bear"


def _floored(temp_c: float, units: Units) -> float:
    """[°C] Whole degrees of the unit that is shown, never more."""
    return to_celsius(math.floor(from_celsius(temp_c, units.temperature) + 1e-6), units.temperature)


CHECKLIST_EXPLAINED = Explained(
    "check-list",
    "what brewers do at home, by container, priming, cold and verdict of this batch; labels and local rules go first",
    COMMON_PRACTICE,
)
