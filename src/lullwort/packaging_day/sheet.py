"""One page for a batch: what it says, as words in the brewer's units. Nothing is said of what is not known."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.detector import BEGUN_ANEW, MAY_BE_PACKAGED, Units, evidence, reason, two_day_rule
from lullwort.packaging_day.eventwords import event_says
from lullwort.packaging_day.nolonger import no_longer_says
from lullwort.packaging_day.sheetfacts import SheetFacts
from lullwort.packaging_day.sheetrows import Row, Section, sections_of
from lullwort.packaging_day.steppeddown import advised
from lullwort.records import Event

__all__ = ["CheckRow", "EventRow", "Row", "Section", "Sheet", "event_rows", "next_of", "reasons_of", "sheet_of"]


class CheckRow(NamedTuple):
    """One check behind the verdict, and what was seen."""

    check: str
    passed: bool
    says: str


class EventRow(NamedTuple):
    """Something that was done: its `mark` on the curve, when, what it was, and the brewer's own words."""

    event: Event
    mark: str
    when: str
    what: str
    note: str


class Sheet(NamedTuple):
    """The words of the page.

    Attributes:
        title, where: the batch; its recipe, vessel, and as of when.
        danger:   what must be read first; empty where there is no danger but the usual one.
        answer, verdict: to whether it may be packaged, and the verdict with since when.
        noted:    what was done since, of which that does not know yet; empty where nothing was.
        reasons:  why, a sentence or two each.
        next:     what to do, empty where the danger says it; a command to be copied has an indented line of its own.
        checks_head, checks: the evidence, with when it was seen if that is not now.
        ranges:   how ranges are meant; empty where there are none.
    """

    title: str
    where: str
    danger: str
    answer: str
    verdict: str
    reasons: tuple[str, ...]
    next: str
    checks_head: str
    checks: tuple[CheckRow, ...]
    sections: tuple[Section, ...]
    events: tuple[EventRow, ...]
    ranges: str
    noted: str = ""

    @property
    def why(self) -> str:
        """All that there is to say beside the answer, what it does not know of yet first."""
        return " ".join(filter(None, (self.noted, *self.reasons)))


SAMPLE_MARK = "◇"
"""Of hand samples and forced tests, as the curve draws them; what else was done is numbered."""


def sheet_of(facts: SheetFacts, units: Units) -> Sheet:
    """What the page of a batch says."""
    batch = facts.batch
    sections = sections_of(facts, units)
    ranged = any(row.ranged for section in sections for row in section.rows)
    recipe = "" if batch.recipe is None else f"{batch.recipe} · "
    return Sheet(
        title=batch.name,
        where=f"{recipe}vessel {batch.vessel} · as of {units.moment(facts.as_of_us)}",
        danger=facts.danger.says(units),
        answer=MAY_BE_PACKAGED[facts.verdict],
        verdict=_verdict(facts, units),
        reasons=reasons_of(facts, units),
        next=next_of(facts, units),
        checks_head="Evidence when it was packaged" if facts.packaged else "Evidence",
        checks=tuple(CheckRow(c.check, c.passed, c.says) for c in evidence(facts.seen, units))
        if _judged(facts)
        else (),
        sections=sections,
        events=event_rows(facts, units),
        ranges="Ranges hold in 9 of 10 cases." if ranged else "",
        noted=facts.noted.says(units),
    )


def _verdict(facts: SheetFacts, units: Units) -> str:
    if facts.packaged and facts.batch.packaged_us is not None:
        return f"packaged {units.moment(facts.batch.packaged_us)}"
    return facts.verdict if facts.verdict_us is None else f"{facts.verdict} since {units.moment(facts.verdict_us)}"


def next_of(facts: SheetFacts, units: Units) -> str:
    """What to do; empty where a danger says it. A command to be copied has an indented line of its own."""
    if facts.no_longer is not None:
        return no_longer_says(facts.no_longer, units)
    if facts.danger.any and facts.verdict in ("packaged", "ready"):
        return ""  # neither to package it nor to keep an eye on it
    if facts.noted.undoes:
        return BEGUN_ANEW
    return advised(facts.verdict, facts.seen, facts.doubts, units, proved=facts.proved is not None)


def _judged(facts: SheetFacts) -> bool:
    """Whether there is evidence of any kind: before the first reading every line would say that there is none."""
    seen = facts.seen
    return seen.level is not None or seen.hand is not None or bool(seen.passed_over)


def reasons_of(facts: SheetFacts, units: Units) -> tuple[str, ...]:
    """Why the verdict is what it is, of a packaged batch why it was what it was before; one or more."""
    if not facts.packaged:
        rule = two_day_rule(facts.verdict, facts.seen)
        return tuple(text for text in (reason(facts.verdict, facts.seen, units), rule) if text)
    if facts.before is None:
        return (reason("packaged", facts.seen, units), "Nothing was known of it then.")
    before = facts.before
    return (
        f"Until then it was {before.verdict}, since {units.moment(before.at_us)}.",
        reason(before.verdict, facts.seen, units),
    )


def event_rows(facts: SheetFacts, units: Units) -> tuple[EventRow, ...]:
    """What was done, in order of time, as it is numbered wherever it is shown."""
    rows, number = [], 0
    for event in sorted(facts.batch.events, key=lambda event: event.order):
        is_sample = event.kind in ("sample", "forced test")
        number += not is_sample
        parts = event_says(event, facts.readings.get(event), units)
        what = f"{event.kind}: {', '.join(parts)}" if parts else event.kind
        mark = SAMPLE_MARK if is_sample else str(number)
        rows.append(EventRow(event, mark, units.day_and_time(event.at_us), what, event.note))
    return tuple(rows)
