"""How the figures of a batch's page come about, for whoever asks."""

from __future__ import annotations

from lullwort.detector import Units, verdict_explained
from lullwort.explained import OURS, Explained
from lullwort.packaging_day.bottling import BOTTLING_EXPLAINED
from lullwort.packaging_day.containers import LIMIT_EXPLAINED
from lullwort.packaging_day.explaining import FIGURES_EXPLAINED
from lullwort.packaging_day.held import HELD_EXPLAINED
from lullwort.packaging_day.moved import MOVED_EXPLAINED
from lullwort.packaging_day.sealing import SEALING_EXPLAINED
from lullwort.packaging_day.sheetfacts import SheetFacts
from lullwort.packaging_day.sheetrows import sections_of
from lullwort.science import PRIMING_EXPLAINED

__all__ = ["SHEET_EXPLAINED", "sheet_explained"]

_CURVE = Explained(
    "the curve",
    "medians of each clock hour, corrected for temperature, what the sensor reads wrong taken off; smoothed by the "
    "median of 7 hours and the mean of 9",
    OURS,
)

SHEET_EXPLAINED = {
    "activity ended": Explained("activity ended", "the hour in which the verdict last stopped telling of a fall", OURS),
    "coldest": Explained(
        "coldest, warmest, warmest at rest", "of the medians of each clock hour; at rest: since activity ended", OURS
    ),
    "fermented at": Explained(
        "fermented at", "median of the hours from the pitch until three quarters of the fall were gone", OURS
    ),
    "now": _CURVE,
    "final": _CURVE,
    "when packaged": _CURVE,
    "moved": MOVED_EXPLAINED,
    "to be moved": MOVED_EXPLAINED,
    "closed in": LIMIT_EXPLAINED,
    "foreseen": Explained(
        "foreseen",
        "a curve fitted to the fall, and after it what lessens hour by hour, shown to the judge for the hours to come; "
        "its ranges were counted on invented batches",
        f"Speers2003 (the curve's shape); {OURS}",
    ),
    "next sample": Explained(
        "next sample", "the first hour from which the chance that it tells something is worth an opening", OURS
    ),
    "told": Explained("told", "when the brewer was told, as it was kept then; it is not reckoned anew", OURS),
}
"""By the names of the rows that they are shown in."""


def sheet_explained(facts: SheetFacts) -> list[Explained]:
    """Of the figures that the page of a batch shows, each once."""
    figures = list(verdict_explained(facts.seen)) if facts.gravity is not None else []
    if facts.figures:
        named = ("abv", "abw", "real_extract", "apparent_attenuation", "real_attenuation", "ranges")
        figures += [FIGURES_EXPLAINED[name] for name in named]
    labels = [row.label for section in sections_of(facts, Units()) for row in section.rows]
    figures += [SHEET_EXPLAINED[name] for name in labels if name in SHEET_EXPLAINED]
    if "held before priming" in labels and facts.closed.held is not None:
        figures.append(HELD_EXPLAINED["sealed" if facts.closed.held.by_pressure else "at rest"])
    if facts.closed.to_prime is not None:
        figures += PRIMING_EXPLAINED
    if "to fill" in labels:
        figures += BOTTLING_EXPLAINED
    if facts.closed.sealing is not None:
        figures += SEALING_EXPLAINED
    return list(dict.fromkeys(figures))
