"""What can be done with a batch or a vessel, and the other batches of it: the ways from one page to others."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.card.known.facts import BatchFacts, VesselFacts
from lullwort.card.pages.markup import batch_path, moment, part, todo_links, vessel_path
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.records import Batch

__all__ = ["others_part", "ways_part"]


def ways_part(facts: BatchFacts) -> str:
    """Everything that can be done with a batch."""
    return part("ways", todo_links(_ways(facts)), heading="Do and get")


def _ways(facts: BatchFacts) -> Iterator[tuple[str, str]]:
    name = facts.batch.name
    yield batch_path(name, "note"), "Note what was done"
    if not facts.sheet.packaged:
        yield batch_path(name, "sample"), "Enter a hand sample"
        yield batch_path(name, "close"), "Close this batch"
    if not facts.refilled:
        yield vessel_path(facts.batch.vessel, "open"), "Open the next batch here"
    yield batch_path(name, "edit"), "Correct the entries"
    yield batch_path(name, "sheet"), "Batch sheet, to print"
    yield batch_path(name, "calendar.ics"), "Calendar file"
    if facts.judged.used or facts.judged.passed_over:
        yield batch_path(name, "readings.csv"), "Readings as CSV"
        yield batch_path(name, "readings.parquet"), "Readings as Parquet"


def others_part(vessel: VesselFacts | None, shown: str, units: Units) -> str:
    """The other batches of a vessel, youngest first; nothing where there are none.

    Args:    shown: name of the batch whose page it is.
    """
    if vessel is None:
        return part("others", "")
    youngest = [] if vessel.batch is None else [vessel.batch.batch]
    rows = "".join(_other(batch, units) for batch in (*youngest, *vessel.earlier) if batch.name != shown)
    body = f'<ul class="others">{rows}</ul>' if rows else ""
    return part("others", body, heading=f"Other batches in {vessel.vessel}")


def _other(batch: Batch, units: Units) -> str:
    recipe = "" if batch.recipe is None else f" {escaped(batch.recipe)},"
    until = "" if batch.packaged_us is None else f", packaged {moment(batch.packaged_us, units)}"
    return (
        f'<li><a href="{batch_path(batch.name)}">{escaped(batch.name)}</a>{recipe} pitched '
        f"{moment(batch.pitched_us, units)}{until}</li>"
    )
