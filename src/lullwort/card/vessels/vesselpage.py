"""One vessel: whether its beer may be packaged, why, and what comes next."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort.card.curve.part import curve_part
from lullwort.card.curve.shown import AS_IT_IS, Shown
from lullwort.card.known.facts import BatchFacts, VesselFacts
from lullwort.card.pages.markup import batch_path, moment, part, todo_links, vessel_path
from lullwort.card.vessels.alertspart import alerts_part
from lullwort.card.vessels.answerpart import answer_part, answer_word, danger_part, failing_part, title_part, why_part
from lullwort.card.vessels.contents import with_contents
from lullwort.card.vessels.donepart import done_part
from lullwort.card.vessels.figurespart import figures_part
from lullwort.card.vessels.heardpart import heard_last, heard_part
from lullwort.card.vessels.historypart import history_part
from lullwort.card.vessels.ledger import ledger_part
from lullwort.card.vessels.nextpart import next_part
from lullwort.card.vessels.sealingpart import sealing_part
from lullwort.card.vessels.wayspart import others_part, ways_part
from lullwort.cellarbook import Imported
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.packaging_day import sheet_of

__all__ = ["batch_page", "emptied_page", "page_title", "vessel_page"]


def page_title(facts: BatchFacts) -> str:
    """What the browser's tab says: the answer first."""
    return f"{answer_word(facts)}: {facts.batch.name}"


def vessel_page(
    facts: VesselFacts, units: Units, now_us: int, *, failing: str = "", shown: Shown = AS_IT_IS
) -> list[str]:
    """The content of its page, as HTML; of its youngest batch.

    Args:    as of `batch_page`.
    """
    if facts.batch is not None:
        path = vessel_path(facts.vessel)
        return batch_page(facts.batch, units, now_us, vessel=facts, failing=failing, path=path, shown=shown)
    opens = todo_links([(vessel_path(facts.vessel, "open"), f"Open a batch in {facts.vessel}")])
    return [
        failing_part(failing),
        part("title", f'<p class="kind">Vessel {escaped(facts.vessel)}</p><h1>May it be packaged?</h1>'),
        part(
            "answer",
            '<p class="word">Cannot tell</p><div><p class="verdict">It has readings, but no batch.</p></div>',
            kind="answer",
        ),
        alerts_part(facts, units),
        part(
            "next",
            "<p>Open its batch: when it was pitched, and its original gravity if it was measured. All readings since "
            f"then are judged at once.</p>{opens}",
            heading="What to do next",
        ),
        part("heard", f"<p>{heard_last(facts.heard_us, units)}</p>", heading="Readings"),
    ]


def emptied_page(vessel: str, taken_back: Sequence[Imported], units: Units, *, failing: str = "") -> list[str]:
    """The content of the page of a vessel that has no batch, and no readings since its imports were taken back.

    Args:    taken_back: those imports, one or more.
    """
    one = len(taken_back) == 1
    files = "".join(
        f"<li>{escaped(each.place)}, taken back {moment(each.withdrawn_us, units)}</li>"
        for each in taken_back
        if each.withdrawn_us is not None
    )
    links = [("/import", "Import a log"), (vessel_path(vessel, "open"), f"Open a batch in {vessel}")]
    return [
        failing_part(failing),
        part("title", f'<p class="kind">Vessel {escaped(vessel)}</p><h1>May it be packaged?</h1>'),
        part(
            "answer",
            '<p class="word">Cannot tell</p><div><p class="verdict">It has no batch, and no readings since '
            f"{'its only import was' if one else 'its imports were'} taken back.</p></div>",
            kind="answer",
        ),
        part(
            "next",
            f'<ul class="others">{files}</ul><p>Importing the same file again brings its readings back.</p>'
            f"{todo_links(links)}",
            heading="What to do next",
        ),
    ]


def batch_page(
    facts: BatchFacts, units: Units, now_us: int, *, vessel: VesselFacts | None = None, failing: str = "",
    path: str = "", shown: Shown = AS_IT_IS,
) -> list[str]:  # fmt: skip
    """The content of the page of a batch, over or not.

    Args:    now_us:  [µs] when it is told.
             vessel:  that it is in, where that is known.
             failing: why the service cannot store anything.
             path:    of the page, where it is not that of the batch.
             shown:   as the page's address chooses.
    """
    sheet = sheet_of(facts.sheet, units)
    youngest = vessel is not None and vessel.batch is not None and vessel.batch.batch.name == facts.batch.name
    parts = [
        failing_part(failing),
        title_part(facts, vessel, sheet),
        danger_part(sheet, facts.batch.name),
        answer_part(facts, vessel, units, now_us),
        alerts_part(vessel if youngest else None, units),
        why_part(facts, sheet, units),
        next_part(facts, vessel, sheet, units, now_us),
        curve_part(facts, units, shown, sheet.events),
        ledger_part(sheet, facts.sheet.seen, units, facts.batch.name, over=facts.sheet.packaged or facts.over),
        sealing_part(None if facts.over else facts.sealed, shown, path or batch_path(facts.batch.name), units),
        done_part(sheet, units),
        figures_part(facts, sheet),
        history_part(facts.judged, units),
        heard_part(facts, vessel, units),
        others_part(vessel, facts.batch.name, units),
        ways_part(facts),
    ]
    return with_contents(parts, after="alerts")
