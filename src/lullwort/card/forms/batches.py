"""The batch that a form is about, and where its page is."""

from __future__ import annotations

from lullwort.card.known.cellar import Cellar
from lullwort.card.pages.markup import batch_path, vessel_path
from lullwort.records import Batch

__all__ = ["batch_called", "page_of"]


def batch_called(cellar: Cellar, name: str) -> Batch | None:
    """The batch of this name; None where there is none."""
    return next((batch for batch in cellar.book.batches.all() if batch.name == name), None)


def page_of(cellar: Cellar, batch: Batch) -> str:
    """The page of its vessel where it is the youngest there, else its own."""
    youngest = cellar.book.batches.all(batch.vessel)[-1]
    return vessel_path(batch.vessel) if youngest.name == batch.name else batch_path(batch.name)
