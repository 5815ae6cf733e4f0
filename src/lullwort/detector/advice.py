"""What a brewer should do next, a sentence for each verdict."""

from __future__ import annotations

from lullwort.detector.brewerunits import Units
from lullwort.detector.handturns import hand_advice
from lullwort.detector.handwords import next_sample
from lullwort.detector.snapshot import ROSE, Snapshot, Split, Verdict, wants_calibration
from lullwort.records import HOUR_US

__all__ = ["MAY_BE_PACKAGED", "PACKAGED_UNPROVED", "PRESSED", "advice"]

MAY_BE_PACKAGED: dict[Verdict, str] = {
    "lag": "No",
    "fermenting": "No",
    "holding": "Not yet",
    "ready": "Yes",
    "stalled": "No",
    "too cold": "No",
    "unclear": "Cannot tell",
    "moving again": "No",
    "packaged": "Done",
}
"""The answer to the one question that counts."""


PRESSED = "The vessel is under pressure: draw it as its maker says, with eyes covered, and do not open it."
"""What stands with every sample to be taken from a sealed vessel."""

_GAS_IN_IT = "It holds carbon dioxide already: sugar on top of that can burst what it is filled into."

PACKAGED_UNPROVED = (
    "It was not proved that this beer had ended. Keep what is filled cold, closed in and away from people, and handle "
    "it only with eyes and hands covered: bottles can burst."
)
"""Of what was packaged before it was `ready`."""

_FILLED = (
    "If bottles are filled already, keep them cold, closed in and away from people, and handle them only with eyes and "
    "hands covered."
)


def advice(verdict: Verdict, seen: Snapshot, units: Units, *, proved: bool = False) -> str:
    """What to do next; cautions stand where they apply. A command to be copied has an indented line of its own.

    Args:    proved: whether a packaged batch was `ready` when it was packaged, see `Judged.proved`.
    """
    by_hand = None if seen.hand is None else hand_advice(verdict, seen, seen.hand, units)
    if by_hand is not None:
        return by_hand
    match verdict:
        case "lag":
            return "Wait. If nothing has moved 48 h after pitching an ale (72 to 96 h for a lager), see to the yeast."
        case "fermenting":
            return "Wait, and leave the vessel closed."
        case "holding":
            unsaid = "If hops, sugar or fruit went in, or the sensor was moved, note it. " if _rose(seen) else ""
            return unsaid + "Wait, and leave the vessel closed; adding, rousing or warming now starts the proof anew."
        case "ready":
            alone = "confirm with one degassed hand reading: this verdict rests on a sensor alone."
            if seen.confirmed_us is not None:
                says = "Package it: sensor and hand sample agree."
            else:
                says = f"Before sealing, {alone}" if seen.sealed is None else alone.capitalize()
            if seen.sealed is not None:
                says += f" {PRESSED} {_GAS_IN_IT}"
            return (
                f"{says} Bottles can burst; seal only rated bottles or vessels, and air the room, for carbon dioxide "
                "gathers."
            )
        case "stalled":
            pressed = "" if seen.sealed is None else f" {PRESSED}"
            return (
                f"Do not package. Check the reading by hand, then warm by {units.temp_differences(2.0, 4.0)} and rouse "
                f"gently; a forced ferment test tells whether anything is left to ferment.{pressed}"
            )
        case "too cold":
            return (
                "Do not package on this: bottles filled now may ferment on once warm, gush, or burst. Warm the "
                f"beer to where its yeast works and let the proof run. {_FILLED}"
            )
        case "moving again":
            return f"Do not package. {_FILLED}"
        case "packaged":
            return "Nothing; keep an eye on the first bottles." if proved else PACKAGED_UNPROVED
        case "unclear":
            return _when_unclear(seen, units)


def _rose(seen: Snapshot) -> bool:
    """Whether the proof runs since the reading rose and nobody has said why."""
    return seen.restarted_by == ROSE


def _when_unclear(seen: Snapshot, units: Units) -> str:
    if wants_calibration(seen) and (seen.unseen_h is None or not seen.passed["seen"]):
        return (
            "Calibrate the sensor, with solutions on both sides of all that it reports; what is stored is then judged "
            "anew. A hand reading tells meanwhile. The command `calibrate` tells how to make the solutions:\n"
            "  lullwort calibrate SENSOR --solutions"
        )
    if seen.untempered:
        return (
            "Enter the temperature at which the vessel is kept, if it is steady to a degree or two, or store the log "
            f"again with its temperatures:\n  {seen.steady_temperature_command}"
        )
    if seen.unseen_h is None and seen.passed_over:
        return "Take the import back with `lullwort withdraw`, and store the log again with its right units."
    soon = seen.restarted_by == "pitched" and seen.at_us - seen.restarted_us < 2 * HOUR_US
    if seen.unseen_h is None and seen.first_sample is None and soon:
        return (
            "Wait for a full hour of readings. If none come, see to the sensor's battery, its place and its link; "
            "without a sensor, hand samples tell as well."
        )
    if seen.split is not None:
        return _how_to_split(seen.split)
    if seen.disagreement:
        return "Do not package. Take a second hand sample, degassed, and note it."
    if seen.start_disagreement:
        return "Compare the log's unit, the vessel and the original gravity entered; a hand sample settles it."
    if seen.unseen_h is None or not seen.passed["seen"]:
        if seen.first_sample is not None:
            asked = next_sample(seen.first_sample, seen.at_us, units)
            return f"{asked} If a sensor floats in it, see to its battery, its place and its link."
        return "See to the sensor: its battery, its place, its link. A hand reading tells meanwhile."
    if not seen.passed["believable"]:
        return "Look at the sensor, swirl the vessel gently so that it floats free, and take one hand reading."
    if seen.temp_c is None:
        return "Add temperature to the log, or enter the vessel's steady temperature for this batch."
    if seen.under_pressure:
        return f"Take a hand sample, degassed, and note it. {PRESSED}"
    return "Enter the original gravity or where this beer should end, or take a hand sample."


def _how_to_split(split: Split) -> str:
    return (
        "Do not package on this. If it is another batch, close the earlier one and open it, with its original gravity "
        "and what else is known; correct the times where you know better:\n"
        + "".join(f"  {command}\n" for command in split.commands)
        + "  # in a batches file: packaged, and a further [[batch]]\nIf it is the same beer, note what was added:\n"
        f"  {split.addition_command}"
    )
