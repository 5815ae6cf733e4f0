"""A batch beside the earlier ones of its recipe, as a brewer sees it: the answer, a line for each, a picture."""

from __future__ import annotations

from collections.abc import Iterator
from string import ascii_lowercase

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from lullwort.cli.drawn import drawn_courses
from lullwort.cli.overlaytext import overlay_text
from lullwort.cli.repeats import Beside
from lullwort.cli.shownunits import local_as_of, local_day, units_of
from lullwort.detector import Units
from lullwort.forecast import Known, Traits, likeness_says
from lullwort.settings import Settings
from lullwort.standing import Repeat

__all__ = ["show_compared"]

_MARK = "#"
_NARROW = 92
"""[columns] A line for each batch does not fit into less."""
_PICTURE = 76
_HEADS = ("lag", "steepest, a day", "75 %", "tail", "end", "ready", "at")


def show_compared(beside: Beside, settings: Settings, out: Console) -> None:
    """Print the answer, what is known of each batch, and their courses over each other."""
    units, batch = units_of(settings), beside.asked.batch
    where = f"{batch.name} in vessel {batch.vessel}, recipe {batch.recipe!r}"
    out.print(Text(f"{where}, as of {local_as_of(beside.asked.judged, settings)}", style="bold"))
    for nth, sentence in enumerate(likeness_says(beside.likeness, units)):
        out.print(Text(sentence, style="" if nth else "bold"))
    out.print(f"Whether it may be packaged is another question: `lullwort verdict {batch.name}`.")
    out.print()
    if out.width < _NARROW:
        _blocks(beside, settings, out)
    else:
        _table(beside, settings, out)
    courses = drawn_courses(beside, units)
    if courses:
        out.print()
        marks = {repeat.batch.name: mark for mark, repeat in _marked(beside)}
        for line in overlay_text([(marks[c.name], c) for c in courses], min(out.width, _PICTURE), units):
            out.print(Text(line), soft_wrap=True)
        out.print(f"{_MARK} is {batch.name}; where courses meet, the later batch is seen.")


def _marked(beside: Beside) -> Iterator[tuple[str, Repeat]]:
    """Each batch with the letter that draws it, the asked one last."""
    yield from zip(ascii_lowercase, beside.earlier, strict=False)
    yield _MARK, beside.asked


def _table(beside: Beside, settings: Settings, out: Console) -> None:
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, header_style="underline")
    table.add_column("")
    table.add_column("batch", overflow="fold")
    table.add_column("pitched", no_wrap=True)
    for head in _HEADS:
        table.add_column(head, no_wrap=True, justify="right")
    for mark, repeat in _marked(beside):
        pitched = local_day(repeat.batch.pitched_us, settings)
        cells = _cells(repeat.traits, units_of(settings))
        table.add_row(mark, repeat.batch.name, pitched, *cells, style="bold" if mark == _MARK else "")
    out.print(Padding(table, (0, 0, 0, 2)))


def _blocks(beside: Beside, settings: Settings, out: Console) -> None:
    for mark, repeat in _marked(beside):
        name = f"{mark} {repeat.batch.name}, pitched {local_day(repeat.batch.pitched_us, settings)}"
        out.print(Text(name, style="bold" if mark == _MARK else ""))
        cells = zip(_HEADS, _cells(repeat.traits, units_of(settings)), strict=True)
        out.print(Padding("; ".join(f"{head} {cell}" for head, cell in cells if cell != "-"), (0, 0, 0, 4)))


def _cells(of: Traits, units: Units) -> list[str]:
    return [
        _hours(of.lag_h, of.no_lag_end_h),
        "-" if of.steepest is None else units.difference(of.steepest.value),
        _hours(of.gone_h, of.not_gone_h),
        _hours(of.tail_h, None),
        "-" if of.end is None else units.level(of.end.value),
        _hours(of.ready_h, of.not_ready_h),
        "-" if of.temperature_c is None else units.temp(of.temperature_c),
    ]


def _hours(known: Known | None, not_before_h: float | None) -> str:
    if known is not None:
        return f"{known.value:.0f} h"
    return "-" if not_before_h is None else f"> {not_before_h:.0f} h"
