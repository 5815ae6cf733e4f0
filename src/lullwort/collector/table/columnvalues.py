"""What the columns of a text file hold: names that must be made ids, what stands for nothing, and units."""

from __future__ import annotations

from collections import Counter

from lullwort.collector.table.cells import BadCellError, parse_id
from lullwort.collector.table.doubts import FITTING, column_numbers, range_says, unit_doubts
from lullwort.collector.table.draft import Draft
from lullwort.collector.table.layout import Layout

__all__ = ["find_missing", "find_names", "find_units"]


def find_names(draft: Draft, layout: Layout, rows: list[list[str]]) -> None:
    """Names that are no ids are made ids."""
    cells = {row[layout.places[role][0]] for role in ("vessel", "sensor") if role in layout.places for row in rows}
    odd = sorted(cell for cell in cells if cell and not _is_id(cell))
    if odd and not draft.mapping.make_ids:
        draft.take(make_ids=True)
        draft.found.append(f"names are made ids, as {parse_id(odd[0], make=True)!r} of {odd[0]!r}")


def find_missing(draft: Draft, layout: Layout, rows: list[list[str]]) -> None:
    """Words and absurd numbers that come again stand for nothing."""
    if draft.stated.missing:
        return
    words: Counter[str] = Counter()
    for role in ("gravity", "temperature"):
        if role not in layout.places:
            continue
        cells = [row[layout.places[role][0]] for row in rows]
        words.update(cell for cell in cells if cell and not any(map(str.isdigit, cell)) and len(cell) < 10)
        numbers = column_numbers(rows, layout.places[role][0], draft.mapping)
        low = Counter(cell for cell, n in zip(cells, numbers.tolist(), strict=True) if n < -50.0)
        words.update({cell: count for cell, count in low.items() if count > 1})
    stands = tuple(word for word, count in words.items() if count > 1)
    if stands:
        draft.take(missing=stands)
        draft.found.append(f"{', '.join(stands)} stands for no value")


def find_units(draft: Draft, layout: Layout, rows: list[list[str]]) -> None:
    """Units by the header, else by the values where only one fits; asked where several do or the header's does not."""
    for role, fits_of in FITTING.items():
        if role not in layout.places or getattr(draft.stated, role) is not None:
            continue
        headed = getattr(draft.mapping, role)
        if headed is not None:
            draft.found.append(f"the header gives the {role} in {headed}")
            continue
        numbers = column_numbers(rows, layout.places[role][0], draft.mapping)
        fits = fits_of(numbers)
        if len(fits) == 1:
            draft.take(**{role: fits[0]})
            draft.found.append(f"{role} {range_says(numbers, draft.mapping)}, which fits {fits[0]} alone")
    doubts = unit_doubts(rows, layout, draft.mapping, draft.stated)
    draft.doubts += doubts
    for role in {doubt.field for doubt in doubts} & FITTING.keys():
        draft.take(**{role: FITTING[role](column_numbers(rows, layout.places[role][0], draft.mapping))[0]})


def _is_id(text: str) -> bool:
    try:
        return parse_id(text) == text
    except BadCellError:
        return False
