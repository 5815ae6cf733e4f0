"""What is to be done for packaging, in the order of time and with its cautions in place: words only.

All of it is common practice without a source, but for what a label, a maker or the law says, which comes first.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from lullwort.detector import PRESSED, Units, Verdict, value_range
from lullwort.explained import COMMON_PRACTICE, Explained
from lullwort.packaging_day.bottling import Filling
from lullwort.packaging_day.containers import CONTAINERS
from lullwort.packaging_day.danger import Danger
from lullwort.packaging_day.datewords import cold_range
from lullwort.packaging_day.moved import Moved
from lullwort.records import ContainerName, SugarName

__all__ = ["CHECKLIST_EXPLAINED", "LABELS_FIRST", "Circumstances", "Stage", "Step", "checklist", "stage_says"]

Stage = Literal["before", "day before", "on the day", "after"]

LABELS_FIRST = "What a label, the maker of a bottle or vessel, or the law where you live says comes first."


class Step(NamedTuple):
    """One thing to do: in which stage, and sentences that say how."""

    stage: Stage
    says: str


class Circumstances(NamedTuple):
    """What the check-list goes by.

    Attributes:
        batch:      the batch's name.
        verdict:    as it stands.
        container:  what the beer is closed in.
        crash_days: how many days it is cold before, 0: it is not chilled.
        cold:       whether it is cold already.
        pressed:    whether its vessel is sealed.
        moved, filling: how much beer, and in which bottles; None where not known.
        sugar:      with what it is primed; None where nobody said.
        priming_g:  [g] of it; None where that is not known. Nothing is said of it unless the verdict is ready.
        over_limit: whether the target may be more than the container bears; no weight is told then.
        danger:     of what is filled or primed already; None where nothing is.
        put_in_g:   [g] that it was primed with already; None where it was not.
    """

    batch: str
    verdict: Verdict
    container: ContainerName
    crash_days: int = 0
    cold: bool = False
    pressed: bool = False
    moved: Moved | None = None
    filling: Filling | None = None
    sugar: SugarName | None = None
    priming_g: float | None = None
    over_limit: bool = False
    danger: Danger | None = None
    put_in_g: float | None = None

    @property
    def ready(self) -> bool:
        """Whether it may be packaged."""
        return self.verdict == "ready"

    @property
    def primed(self) -> bool:
        """Whether it is primed: bottles are; a keg where a sugar is named; never what is under pressure already."""
        if self.pressed or CONTAINERS[self.container].volumes is None:
            return False
        return self.container != "keg" or self.sugar is not None


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
        steps += [*_before(of, units), *_day_before(of, units), *_on_the_day(of, units)]
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
        how_many = f"{_each(of, units)}{', spare ones counted in' if spare else ''}"
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


def _each(of: Circumstances, units: Units) -> str:
    assert of.filling is not None
    lots = [lot for lot in of.filling.lots if lot.sanitised]
    return " and ".join(f"{lot.sanitised} of {units.serving(lot.volume_l)}" for lot in lots)


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


# -- on the day -------------------------------------------------------------------------------------------------------


def _on_the_day(of: Circumstances, units: Units) -> list[Step]:
    says = [_proof(of), _sanitise(of, units)]
    if of.container == "keg":
        says += [_prime(of, units), *_into_keg(of, units)]
    elif of.pressed:
        says += [_prime(of, units), _from_pressure(), _fill(of, units)]
    else:
        says += [_prime(of, units), _rack(of, units), _mix(of), _fill(of, units)]
    return [Step("on the day", each) for each in (*says, _write_down(of))]


def _proof(of: Circumstances) -> str:
    pressed = f" {PRESSED}" if of.pressed else ""
    return (
        f"Ask `lullwort verdict {of.batch}` again. Draw a sample, degas it, read it and note it; it is not poured "
        f"back.{pressed} If the two do not agree, or the verdict is not ready, stop here: nothing is primed or sealed. "
        "Bottles can burst."
    )


def _sanitise(of: Circumstances, units: Units) -> str:
    if of.container == "keg":
        into = "keg, lid and posts"
    elif of.filling is not None and of.filling.sanitised:
        into = f"bottles ({_each(of, units)}) and caps"
    else:
        into = "bottles and caps"
    return (
        "Sanitise what touches the cooled beer, as strong and for as long as the label says, rinsed only if it says "
        f"so: siphon, or the tap inside and out, threads, hoses, filling wand, priming vessel, spoon, {into}. From "
        "then on they touch only what is sanitised, too."
    )


def _prime(of: Circumstances, units: Units) -> str:
    if of.pressed:
        return "Do not prime: what it fermented under pressure is in it already."
    if not of.primed:
        return ""
    if of.put_in_g:
        return f"Primed already, with {units.weight(of.put_in_g)}: do not sugar it twice."
    if not of.ready:
        return f"How much priming goes in is told once the verdict is ready, by `lullwort priming {of.batch}`."
    sugar = "priming" if of.sugar is None else of.sugar.replace("-", " ")
    if of.over_limit:
        these = CONTAINERS[of.container].called
        return (
            f"No weight is told: with what may still ferment, the target may be more than {these} bear. "
            f"Prime for less, or take what bears more; `lullwort sealed {of.batch}` tells the pressure."
        )
    if of.priming_g is None:
        much = f"Weigh the {sugar} (`lullwort priming {of.batch}` tells how much)"
    elif of.priming_g <= 0.0:
        return "No priming: what the beer holds and has yet to ferment suffices."
    else:
        much = f"Weigh {units.weight(of.priming_g)} of {sugar} (`lullwort sealed {of.batch}` tells the pressure)"
    if of.sugar == "reserved-wort":
        return f"{much}; do not measure it by the cup. Boil it for 5 minutes, and let it cool with a lid on."
    return (
        f"{much}; a cup is no measure. Boil it in a little water for 5 minutes, and let it cool with a lid on: it "
        "scalds, and hot liquid cracks glass, so none goes into it."
    )


def _rack(of: Circumstances, units: Units) -> str:
    return (
        f"{_siphon(of, units)} The hose reaches the bottom of the other vessel, for what splashes takes up oxygen and "
        "goes stale. Air the room, for carbon dioxide gathers."
    )


def _siphon(of: Circumstances, units: Units) -> str:
    """How beer is drawn off its sediment."""
    stay = "the last of it stays"
    if of.moved is not None and of.moved.losses_l:
        stay = f"about {units.amount(of.moved.losses_l)} stay"
    return (
        "Set the siphon just under the surface and follow it down as that sinks, above the sediment all the time; "
        "start it without your mouth. Tilt the vessel, if at all, gently and early. Stop in time: "
        f"{stay} with the sediment."
    )


def _mix(of: Circumstances) -> str:
    if not of.primed or of.put_in_g:
        return ""
    return (
        "The priming goes in first, and the beer flows in under it. Stir slowly from the bottom, without a splash, and "
        "once more half-way through the bottles: where priming gathers, one bottle of a sound batch may burst."
    )


def _fill(of: Circumstances, units: Units) -> str:
    order = ""
    if of.filling is not None and sum(lot.filled > 0 for lot in of.filling.lots) > 1:
        lots = [f"{lot.filled} of {units.serving(lot.volume_l)}" for lot in of.filling.lots if lot.filled]
        order = f" The largest first: about {', then '.join(lots)}."
    elif of.filling is not None and of.filling.filled:
        lot = next(lot for lot in of.filling.lots if lot.filled)
        order = f" About {lot.filled} of {units.serving(lot.volume_l)} come of it."
    if CONTAINERS[of.container].volumes is None:
        return f"Fill it cold and from below, to the brim, and close it.{order}"
    return (
        f"Fill from below, the wand on the bottom.{order} Leave a headspace of 2 to 3 cm (an inch), and cap at once. "
        "One that is only part full is not capped: too much air is in it. Drink it."
    )


def _from_pressure() -> str:
    return (
        "The vessel is under pressure. Nothing may be opened before its maker's way of filling from it is at hand: a "
        "filler for pressure, beer and bottles cold, eyes covered."
    )


def _into_keg(of: Circumstances, units: Units) -> list[str]:
    purge = (
        "Fill the keg with sanitiser to the brim and push that out with carbon dioxide, far below what the keg is "
        "rated for: no air is left in it. The gas bottle stands upright and fastened, behind a regulator. Air the room."
    )
    beer = "about as much beer as it holds" if of.moved is None else f"about {units.amount(of.moved.volume_l)} of beer"
    if of.pressed:
        fill = f"Lead {beer} from closed vessel to closed keg, both at one pressure, the keg's gas let out as it fills."
    else:
        fill = (
            f"Lead {beer} to the bottom of the keg, through its long tube or by a hose, its pressure let off first. "
            f"{_siphon(of, units)} Leave a headspace."
        )
    close = (
        "Close it, give gas until the lid seats, and lift the relief valve a few times: what air there is leaves. "
        "Soapy water shows a leak."
    )
    if of.primed:
        close += " Primed, it builds up pressure by itself: its relief valve must work."
    return [purge, _mix_in_keg(of), fill, close]


def _mix_in_keg(of: Circumstances) -> str:
    return "The priming goes in before the beer." if of.primed and not of.put_in_g else ""


def _write_down(of: Circumstances) -> str:
    primed = " --primed WEIGHT" if of.primed and not of.put_in_g else ""
    return (
        f"Write down what was done: `lullwort batch close {of.batch} --moved VOLUME --filled BOTTLES{primed}`. Rinse "
        "all that was used before it dries."
    )


# -- after ------------------------------------------------------------------------------------------------------------


def _after(of: Circumstances, units: Units) -> list[Step]:
    if of.container == "keg":
        warm = "warm until it is carbonated, then cold" if of.primed else "cold"
        return [Step("after", f"Keep the keg {warm}, upright. {_LET_OFF}")]
    if CONTAINERS[of.container].volumes is None:
        return [Step("after", "Keep it cold, and drink it within days: left warm it may burst.")]
    room = value_range(units.temp(18.0, 0), units.temp(22.0, 0))
    serving = value_range(units.temp(6.0, 0), units.temp(12.0, 0))
    return [
        Step(
            "after",
            f"Store the bottles closed in, in crates or boxes with a lid, away from people, at {room} and no warmer: "
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


CHECKLIST_EXPLAINED = Explained(
    "check-list",
    "what brewers do at home, by container, priming, cold and verdict of this batch; labels and local rules go first",
    COMMON_PRACTICE,
)
