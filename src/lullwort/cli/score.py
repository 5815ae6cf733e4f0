"""`lullwort score`: score the detector on invented batches beside four simple methods."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from lullwort.cli.show import console

if TYPE_CHECKING:
    from lullwort.rehearsal.score import Row

__all__ = ["score"]

_COLUMNS = ("false", "≤ %", "worst", ">1", "never", "median", "90 %", "unclear", "back")


@click.command(short_help="Score the detector on invented batches beside four simple methods.")
@click.option("--seeds", default=10, show_default=True, type=click.IntRange(1), help="Batches of each kind.")
@click.option("--first", default=0, show_default=True, help="First seed.")
@click.option(
    "--family", default="tail", show_default=True, type=click.Choice(["tail", "uptake"]),
    help="How the invented yeast works: as the detector was tuned on, or as it never was.",
)  # fmt: skip
def score(seeds: int, first: int, family: str) -> None:
    """Score the detector on invented batches whose truth is known, beside what a brewer could do instead.

    False: batches with a ready while more than 2 points were truly left; ≤ %: upper 95 % bound of their share;
    worst: points left at the worst ready; >1: batches with more than 1 point left. Never: finished, not declared.
    Median and 90 %: hours from the one at which somebody who sees the truth would say ready. Unclear: hours in all;
    back: readies taken back with no cause in the entries.
    Takes about two seconds a seed on two cores.
    """
    from rich.table import Table  # the two imports below cost half a second, too much for --help

    from lullwort.rehearsal.methods import SIMPLE_METHODS, by_detector
    from lullwort.rehearsal.score import cases
    from lullwort.rehearsal.score import score as score_of_method

    of = cases(range(first, first + seeds), family="uptake" if family == "uptake" else "tail")
    out = console()
    methods = Table(
        title=f"{len(of)} invented batches, family {family}, seeds {first} to {first + seeds - 1}",
        box=None,
        padding=(0, 1, 0, 0),
    )
    kinds = Table(title="Lullwort, kind by kind", box=None, padding=(0, 1, 0, 0))
    for table, name in ((methods, "method"), (kinds, "kind")):
        table.add_column(name, no_wrap=True)
        for column in _COLUMNS:
            table.add_column(column, justify="right", no_wrap=True)
    for name, method in {**SIMPLE_METHODS, "Lullwort": by_detector}.items():
        result = score_of_method(method, of)
        methods.add_row(name, *_cells(result.total))
        if name == "Lullwort":
            for row in result.rows:
                kinds.add_row(row.name, *_cells(row))
    out.print(methods)
    out.print()
    out.print(kinds)


def _cells(row: Row) -> list[str]:
    return [
        str(row.false_ready), f"{100.0 * row.false_bound:.1f}", _number(row.worst_points_left), str(row.over_one_point),
        str(row.never_ready), _number(row.median_delay_h), _number(row.p90_delay_h), f"{row.unclear_h:.0f}",
        str(row.withdrawals),
    ]  # fmt: skip


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:.1f}"
