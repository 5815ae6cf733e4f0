"""How the figures come about that a verdict shows: the detector's own, the strength, and what is foreseen."""

from __future__ import annotations

from collections.abc import Iterable

from lullwort.detector import verdict_explained
from lullwort.explained import OURS, Explained
from lullwort.packaging_day import FIGURES_EXPLAINED
from lullwort.standing import Entry

__all__ = ["entries_explained"]

_FORECAST = Explained(
    "forecast",
    "while the main fall runs a logistic with an exponential tail, a prior on each of its six parameters; after it the "
    "filters' own tails; the judge is shown the hours to come, so that `ready` means the whole proof",
    f"{OURS}; the logistic: Speers2003, MacIntosh2021",
)


def entries_explained(entries: Iterable[Entry]) -> list[Explained]:
    """What is explained of these entries, each figure once."""
    figures: list[Explained] = []
    for entry in entries:
        if entry.judged is not None:
            figures += verdict_explained(entry.judged.now)
            figures += [FIGURES_EXPLAINED[name] for name in ("abw", "real_extract", "abv", "ranges")]
        if entry.forecast is not None:
            figures.append(_FORECAST)
    return list(dict.fromkeys(figures))
