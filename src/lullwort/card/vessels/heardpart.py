"""What was heard of a vessel: when last, how many readings count, and which do not."""

from __future__ import annotations

from lullwort.card.known.facts import BatchFacts, VesselFacts
from lullwort.card.pages.markup import moment, part
from lullwort.detector import Units, why_passed_over
from lullwort.exporting import escaped
from lullwort.records import HOUR_US

__all__ = ["heard_last", "heard_part", "heard_us"]


def heard_us(facts: BatchFacts, vessel: VesselFacts | None) -> int | None:
    """[µs] Of the newest reading of a batch; about, by its hours, where it is not the youngest of its vessel."""
    if vessel is not None and vessel.batch is not None and vessel.batch.batch.name == facts.batch.name:
        return vessel.heard_us
    if not facts.judged.used and not facts.judged.passed_over:
        return None
    unseen_h = facts.judged.now.unseen_h
    return None if unseen_h is None else facts.judged.now.at_us - round(unseen_h * HOUR_US)


def heard_last(at_us: int | None, units: Units, facts: BatchFacts | None = None) -> str:
    """When that was, as HTML, or when the newest hand sample was drawn; how long ago it is, a script tells."""
    hand = None if facts is None else facts.judged.before_packaging.now.hand
    if at_us is None and hand is not None:
        return f"No sensor was heard. Last hand sample {moment(hand.newest_us, units, kind='heard')}."
    if at_us is None:
        return "No reading yet."
    if facts is not None and at_us < facts.batch.pitched_us:
        return f"Nothing was heard since it was pitched; before that last {moment(at_us, units, kind='heard')}."
    return f"Last heard {moment(at_us, units, kind='heard')}."


def heard_part(facts: BatchFacts, vessel: VesselFacts | None, units: Units) -> str:
    """The part."""
    judged = facts.judged
    passed = sum(judged.passed_over.values())
    rows = [("used", str(judged.used), "")]
    if passed:
        reasons = [(count, why_passed_over(says, units, count)) for says, count in sorted(judged.passed_over.items())]
        why = "; ".join(f"{count} {says}" for count, says in reasons) if len(reasons) > 1 else reasons[0][1]
        rows.append(("passed over", str(passed), why))
    if judged.conflicts:
        rows.append(("left out", str(judged.conflicts), "moments of which there are two reports that contradict"))
    if facts.set_aside:
        rows.append(("set aside", str(facts.set_aside), "rows of its logs that were no readings"))
    if not judged.used and not passed:
        rows = rows[1:]
    cells = "".join(
        f"<div><dt>{label}</dt><dd>{count}"
        + (f' <span class="beside">{escaped(why)}</span>' if why else "")
        + "</dd></div>"
        for label, count, why in rows
    )
    listed = f"<dl>{cells}</dl>" if cells else ""
    return part("heard", f"<p>{heard_last(heard_us(facts, vessel), units, facts)}</p>{listed}", heading="Readings")
