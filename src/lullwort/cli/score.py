"""`lullwort score`: score the detector on invented batches beside four simple methods."""

from __future__ import annotations

import click

__all__ = ["score"]


@click.command(short_help="Score the detector on invented batches beside four simple methods.")
@click.option("--seeds", default=10, show_default=True, type=click.IntRange(1), help="Batches of each kind.")
@click.option("--first", default=0, show_default=True, help="First seed.")
@click.option(
    "--family", default="tail", show_default=True, type=click.Choice(["tail", "uptake"]),
    help="How the invented yeast works: with an exponential tail, or sugar by sugar and settling.",
)  # fmt: skip
def score(seeds: int, first: int, family: str) -> None:
    """Score the detector on invented batches whose truth is known, beside what a brewer could do instead.

    False: batches with a ready while more than 2 points were truly left; <= %: upper 95 % bound of their share;
    worst: points left at the worst ready; > 1: batches with more than 1 point left at a ready. Never: finished, not
    declared. Median and 90 % h: hours from the one at which somebody who sees the truth would say ready. Unclear h:
    in all. Back: readies taken back though nothing was done to the beer. Takes about two seconds a seed on two cores.
    """
    from lullwort.rehearsal.comparison import compare, table  # scipy costs half a second, too much for --help

    click.echo(
        f"{seeds} batches of each kind, family {family}, seeds {first} to {first + seeds - 1}\n\n"
        + table(compare(range(first, first + seeds), "uptake" if family == "uptake" else "tail")),
        nl=False,
    )
