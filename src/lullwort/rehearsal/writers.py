"""An invented batch as the two files a brewer would have, readings and batches. The truth is in neither."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.exporting import batches_text
from lullwort.records import format_utc
from lullwort.rehearsal.invented import Invented

__all__ = ["batches_toml", "csv_lines", "csv_text"]


def csv_lines(invented: Invented) -> Iterator[str]:
    """The readings file line by line, each with its line end; values that were not sent stay empty."""
    yield "time,vessel,gravity,temperature\n"
    for r in invented.readings:
        gravity = "" if r.gravity is None else f"{r.gravity:.4f}"
        temp_c = "" if r.temperature_c is None else f"{r.temperature_c:.1f}"
        yield f"{format_utc(r.at_us)},{r.vessel},{gravity},{temp_c}\n"


def csv_text(invented: Invented) -> str:
    """The whole readings file."""
    return "".join(csv_lines(invented))


def batches_toml(invented: Invented) -> str:
    """The batches file, with what the brewer entered and logged."""
    return batches_text([invented.batch])
