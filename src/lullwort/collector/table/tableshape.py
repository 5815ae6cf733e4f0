"""Where in a text file the table is and how it is written: delimiter, title, header, and the mark in its numbers."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from typing import get_args

from lullwort.collector.mapping import DELIMITERS, Delimiter
from lullwort.collector.table.columnwords import role_of_label
from lullwort.collector.table.draft import NUMBER, Draft, fields_of
from lullwort.collector.table.layout import best_delimiter

__all__ = ["find_decimal_mark", "find_table"]


def find_table(draft: Draft) -> None:
    """Delimiter, title lines before the table, and whether it has a header."""
    sample = [line for line in draft.lines[draft.stated.title_lines :][:100] if line.strip()]
    if draft.stated.delimiter is None:
        draft.take(delimiter=_likely_delimiter(sample))
    widths = [len(draft.split(line)) for line in draft.lines[:200]]
    usual = Counter(width for width in widths if width > 1).most_common(1)
    if draft.stated.skip_lines is None and usual:
        first = _header_line(draft, [i for i, width in enumerate(widths) if width == usual[0][0]])
        if any(line.strip() for line in draft.lines[:first]):
            draft.take(skip_lines=first)
            draft.found.append(f"the first {first} lines are a title" if first > 1 else "the first line is a title")
    cells = draft.split(next(iter(draft.table_lines()), ""))
    if draft.stated.header is None and sum(1 for c in cells if NUMBER.fullmatch(c)) > len(cells) // 2:
        draft.take(header=False)
        draft.found.append("there is no header; columns go by their number, as #3")


def find_decimal_mark(draft: Draft) -> None:
    """Point or comma; asked where numbers have either."""
    if draft.stated.decimal is not None:
        return
    cells = [cell for line in draft.lines[:200] for cell in draft.split(line)]
    commas = sum(1 for cell in cells if re.fullmatch(r"[+-]?[0-9]+,[0-9]+", cell))
    points = sum(1 for cell in cells if re.fullmatch(r"[+-]?[0-9]+\.[0-9]+", cell))
    if commas and points:
        draft.ask("some numbers have a decimal comma, some a point", "--decimal-comma or --decimal-point", "decimal")
    elif commas:
        draft.take(decimal="comma")
        draft.found.append("numbers have a decimal comma")


def _header_line(draft: Draft, candidates: list[int]) -> int:
    """The first line of the table: that which names most things a log has, if it names two; else the very first."""
    named = [len({role_of_label(cell) for cell in draft.split(draft.lines[i])} - {None}) for i in candidates[:30]]
    return candidates[named.index(max(named))] if draft.mapping.has_header and max(named) > 1 else candidates[0]


def _likely_delimiter(sample: Sequence[str]) -> Delimiter:
    """That under which most lines have the same number of fields, more than one."""
    best: tuple[float, int] = (0.0, 0)
    chosen: Delimiter = next(
        d for d in get_args(Delimiter) if DELIMITERS[d] == best_delimiter(sample[0] if sample else "")
    )
    for delimiter, character in DELIMITERS.items():
        widths = Counter(len(fields_of(line, character)) for line in sample)
        width, count = max(((w, n) for w, n in widths.items() if w > 1), key=lambda wn: wn[1], default=(0, 0))
        score = (count / max(1, len(sample)) - (0.3 if delimiter == "blanks" else 0.0), width)
        if score > best and count > len(sample) / 2:
            best, chosen = score, delimiter
    return chosen
