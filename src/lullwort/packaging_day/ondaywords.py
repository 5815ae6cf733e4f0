"""The day of packaging in sentences: the last proof, sanitising, priming, drawing off and filling.

All of it is common practice without a source, but for what a label says, which comes first.
"""

from __future__ import annotations

from lullwort.detector import PRESSED, Units
from lullwort.packaging_day.circumstances import Circumstances
from lullwort.packaging_day.containers import CONTAINERS
from lullwort.packaging_day.fillingwords import sanitised_says

__all__ = ["on_the_day"]


def on_the_day(of: Circumstances, units: Units) -> list[str]:
    """What is done, a few sentences for each step in the order of time; empty ones where there is nothing to do."""
    says = [_proof(of), _sanitise(of, units), _prime(of, units)]
    if of.container == "keg":
        says += _into_keg(of, units)
    elif of.pressed:
        says += [_from_pressure(), _fill(of, units)]
    else:
        says += [_rack(of, units), _mix(of), _fill(of, units)]
    return [*says, _write_down(of)]


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
        into = f"bottles ({sanitised_says(of.filling, units)}) and caps"
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
        sugar = "" if of.sugar is None else f" of {of.sugar.replace('-', ' ')}"
        return f"Primed already ({units.weight(of.put_in_g)}{sugar}): add none."
    if not of.ready:
        return f"How much priming goes in is told once the verdict is ready, by `lullwort priming {of.batch}`."
    sugar = "priming" if of.sugar is None else of.sugar.replace("-", " ")
    if of.over_limit:
        these = CONTAINERS[of.container].called
        return (
            f"No weight is told: the target is more than {these} bear. "
            f"Prime for less, or take what bears more; `lullwort sealed {of.batch}` tells the pressure."
        )
    if of.priming_g is None:
        much = f"Weigh the {sugar} (`lullwort priming {of.batch}` tells how much)"
    elif of.priming_g <= 0.0:
        return "No priming: what the beer holds and has yet to ferment suffices."
    else:
        much = f"Weigh {units.weight(of.priming_g)} of {sugar} (`lullwort sealed {of.batch}` tells the pressure)"
        if of.may_exceed:
            much += f", which at the upper end is more than {CONTAINERS[of.container].called} bear: rather aim lower"
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
    if not of.to_prime:
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
    return "The priming goes in before the beer." if of.to_prime else ""


def _write_down(of: Circumstances) -> str:
    primed = " --primed WEIGHT" if of.to_prime else ""
    return (
        f"Write down what was done: `lullwort batch close {of.batch} --moved VOLUME --filled BOTTLES{primed}`. Rinse "
        "all that was used before it dries."
    )
