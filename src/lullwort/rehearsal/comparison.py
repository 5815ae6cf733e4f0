"""The detector and the four simple methods side by side on the same invented batches, as plain text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from importlib.util import find_spec

from lullwort.detector import Units
from lullwort.records import CAUTIONS, Caution
from lullwort.rehearsal.entries import ENTRIES
from lullwort.rehearsal.family import Family
from lullwort.rehearsal.kinds import SCORED
from lullwort.rehearsal.methods import SIMPLE_METHODS, Method, by_change_detection, by_detector
from lullwort.rehearsal.picture import trade_off
from lullwort.rehearsal.score import Row, Score, cases, score

__all__ = ["CHANGE_DETECTION", "DETECTOR", "compare", "compare_entries", "picture_of", "table"]

DETECTOR = "Lullwort"
CHANGE_DETECTION = "adaptive window, gated"

_HEADINGS = ("batches", "false", "<= %", "worst", "> 1", "never", "median h", "90 % h", "unclear h", "back")


def compare(
    seeds: range,
    family: Family = "tail",
    *,
    kinds: Sequence[str] = SCORED,
    caution: Caution = "usual",
    alone: bool = False,
    workers: int = 2,
) -> dict[str, Score]:
    """The score of each method, the detector last, over these kinds with each of these seeds; or of it alone."""
    of = cases(seeds, kinds, family, caution=caution)
    methods: dict[str, Method] = {DETECTOR: by_detector}
    if not alone:
        others = dict(SIMPLE_METHODS)
        if find_spec("river") is not None:
            others[CHANGE_DETECTION] = by_change_detection
        methods = {**others, **methods}
    return {name: score(method, of, workers=workers) for name, method in methods.items()}


def compare_entries(
    seeds: range,
    family: Family = "tail",
    *,
    kinds: Sequence[str] = SCORED,
    caution: Caution = "usual",
    workers: int = 2,
    units: Units | None = None,
) -> str:
    """The detector over these kinds with each of the wrong entries, as a table for a monospaced page."""
    results = {
        entries: score(by_detector, cases(seeds, kinds, family, entries, caution), workers=workers)
        for entries in ENTRIES
    }
    rows = [replace(result.total, name=name) for name, result in results.items()]
    return _block("entries", rows, units or Units()) + "\n"


def picture_of(
    comparison: Mapping[str, Score], seeds: range, family: Family, caution: Caution, units: Units | None = None
) -> str:
    """The trade-off drawn as SVG: what was compared with this caution, and the detector with the others."""
    rows = {name: result.total for name, result in comparison.items() if name != DETECTOR}
    for other in CAUTIONS:
        of = cases(seeds, family=family, caution=other)
        rows[f"{DETECTOR}, {other}"] = (comparison[DETECTOR] if other == caution else score(by_detector, of)).total
    return trade_off(f"{len(seeds)} batches of each of {len(SCORED)} kinds, family {family}", rows, units)


def table(comparison: Mapping[str, Score], units: Units | None = None) -> str:
    """The comparison for a monospaced page: a line for each method, then each of them kind by kind, the last first.

    Columns: batches; false readies; upper 95 % bound of their share [%]; the most points left at a ready;
    batches with more than 1 point left; finished but never ready; median and 90 % delay after the oracle
    hour [h]; time under `unclear` in all [h]; withdrawals.
    """
    methods = [replace(result.total, name=name) for name, result in comparison.items()]
    u = units or Units()
    by_kind = [_block(f"{name}, by kind", comparison[name].rows, u) for name in reversed(list(comparison))]
    return "\n\n".join([_block("method", methods, u), *by_kind]) + "\n"


def _block(title: str, rows: Sequence[Row], units: Units) -> str:
    lines = [(title, *_HEADINGS), *((row.name, *_cells(row, units)) for row in rows)]
    widths = [max(len(line[i]) for line in lines) for i in range(len(_HEADINGS) + 1)]
    return "\n".join(
        "  ".join([line[0].ljust(widths[0]), *(c.rjust(w) for c, w in zip(line[1:], widths[1:], strict=True))])
        for line in lines
    )


def _cells(row: Row, u: Units) -> tuple[str, ...]:
    return (
        str(row.batches),
        str(row.false_ready),
        u.number(100.0 * row.false_bound, 1),
        _number(row.worst_points_left, u),
        str(row.over_one_point),
        str(row.never_ready),
        _number(row.median_delay_h, u),
        _number(row.p90_delay_h, u),
        u.number(row.unclear_h, 0),
        str(row.withdrawals),
    )


def _number(value: float | None, u: Units) -> str:
    return "-" if value is None else u.number(value, 1)
