"""An invented batch as the two files a brewer would have, readings and batches. The truth is in neither."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.records import Event, format_utc
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
    batch = invented.batch
    lines = [
        "[[batch]]",
        f'vessel = "{batch.vessel}"',
        f'name = "{batch.name}"',
        f"pitched = {format_utc(batch.pitched_us)}",
    ]
    if batch.original_gravity is not None:
        lines.append(f"original_gravity = {batch.original_gravity:.4f}")
    if batch.expected_final_gravity is not None:
        low, high = batch.expected_final_gravity
        lines.append(f"expected_final_gravity = [{low:.4f}, {high:.4f}]")
    if batch.forced_test_gravity is not None:
        lines.append(f"forced_test_gravity = {batch.forced_test_gravity:.4f}")
    if batch.yeast_min_c is not None:
        lines.append(f"yeast_min_c = {batch.yeast_min_c:.1f}")
    if batch.volume_l is not None:
        lines.append(f"volume_l = {batch.volume_l:.1f}")
    lines.append(f'gravity_reported = "{batch.gravity_reported}"')
    lines.append(f"reference_c = {batch.reference_c:.1f}")
    for event in batch.events:
        lines += _event_lines(event)
    return "\n".join(lines) + "\n"


def _event_lines(event: Event) -> list[str]:
    lines = ["  [[batch.event]]", f"  at = {format_utc(event.at_us)}", f'  kind = "{event.kind}"']
    if event.points is not None:
        lines.append(f"  points = {event.points:.1f}")
    return lines
