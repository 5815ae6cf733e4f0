"""What a fresh judgement changes against what is on record, and against what the brewer was told before."""

from __future__ import annotations

from collections.abc import Container

from lullwort.cellarbook import Book, Told
from lullwort.detector import Judged, Units, reason
from lullwort.standing import Entry

__all__ = ["keep_and_tell"]


def keep_and_tell(
    book: Book, entries: list[Entry], now_us: int, units: Units, *, only: Container[str] | None = None
) -> list[str]:
    """Store each batch's history, then say what is new about `ready`; each thing is told once.

    Args:    only: vessels of which anything is said; what is new of others is left for whoever asks about them.
    Returns: sentences to show in the brewer's `units`, a withdrawn `ready` as loudly as a new one. The book keeps them
             as other programs read them.
    """
    says = []
    for entry in entries:
        if entry.judged is None or entry.batch is None:
            continue
        name = entry.batch.name
        book.verdicts.keep(entry.judged)
        if only is not None and entry.vessel not in only:
            continue
        told = _news(entry.judged, book.verdicts.told(name), now_us)
        if told is not None:
            book.verdicts.tell(name, told)
            says.append(f"{name}: {_says(entry.judged, units)}")
    return says


def _news(judged: Judged, told: list[Told], now_us: int) -> Told | None:
    last = told[-1] if told else None
    stood = last is not None and last.verdict == "ready"
    if judged.ready_us is not None:
        if last is not None and stood and last.verdict_us == judged.ready_us:
            return None
        return Told(now_us, "ready", judged.ready_us, _says(judged, Units()))
    if not stood or judged.verdict == "packaged":
        return None
    at_us = judged.history[-1].at_us if judged.history else judged.as_of_us
    return Told(now_us, judged.verdict, at_us, _says(judged, Units()))


def _says(judged: Judged, units: Units) -> str:
    if judged.ready_us is not None:
        return "READY TO PACKAGE."
    return f"READY IS WITHDRAWN, though it was told before. {reason(judged.verdict, judged.now, units)}"
