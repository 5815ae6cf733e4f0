"""`lullwort score`: score the detector on invented batches beside other ways to call a beer finished."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from lullwort.cli.common import with_settings
from lullwort.errors import SourceError, UsageError
from lullwort.rehearsal import FAMILIES, Family
from lullwort.settings import Settings

__all__ = ["score"]


@click.command(short_help="Score the detector on invented batches beside other methods.")
@click.option("--seeds", default=10, show_default=True, type=click.IntRange(1), help="Batches of each kind.")
@click.option("--first", default=0, show_default=True, help="First seed.")
@click.option(
    "--family", default="tail", show_default=True, type=click.Choice(FAMILIES),
    help="How the invented yeast works: with an exponential tail, sugar by sugar, or in cells that differ in vigour.",
)  # fmt: skip
@click.option(
    "--caution", default="usual", show_default=True, type=click.Choice(["careful", "usual", "brisk"]),
    help="How sure the detector must be.",
)  # fmt: skip
@click.option("--alone", is_flag=True, help="The detector alone, which takes a tenth of the time.")
@click.option(
    "--picture", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE",
    help="Draw false readies against hours, as SVG, the detector with each caution.",
)  # fmt: skip
@click.option("--wrong-entries", is_flag=True, help="The detector with wrong and missing entries, instead of by kind.")
@click.option("--forecast", is_flag=True, help="How well the forecast keeps its word, instead of the verdict.")
@click.option("--by-hand", is_flag=True, help="Hand samples alone, beside the two-day rule, instead of the detector.")
@with_settings("decimal")
def score(
    settings: Settings,
    seeds: int,
    first: int,
    family: Family,
    caution: Literal["careful", "usual", "brisk"],
    alone: bool,
    picture: Path | None,
    wrong_entries: bool,
    forecast: bool,
    by_hand: bool,
) -> None:
    """Score the detector on invented batches whose truth is known, beside what a brewer could do instead.

    False: batches with a ready while more than 2 points were truly left; <= %: upper 95 % bound of their share;
    worst: points left at the worst ready; > 1: batches with more than 1 point left at a ready. Never: finished, not
    declared. Median and 90 % h: hours from the one at which somebody who sees the truth would say ready. Unclear h:
    in all. Back: readies taken back though nothing was done to the beer. Takes some three seconds a seed on two cores.
    """
    # Only now, for scipy costs half a second.
    from lullwort.rehearsal.comparison import compare, compare_entries, picture_of, table

    instead = {"--forecast": forecast, "--by-hand": by_hand}
    for option, given in instead.items():
        others = alone or wrong_entries or picture is not None or caution != "usual"
        if given and (others or sum(instead.values()) > 1):
            raise UsageError(f"{option} goes with --seeds, --first and --family alone")
    of = range(first, first + seeds)
    click.echo(f"{seeds} batches of each kind, family {family}, seeds {first} to {of[-1]}, caution {caution}\n")
    if forecast:
        from lullwort.rehearsal.foresight import foresight_table

        click.echo(foresight_table(of, family, units=settings.units), nl=False)
        return
    if by_hand:
        from lullwort.rehearsal.handscore import hand_table

        click.echo(hand_table(of, family, units=settings.units), nl=False)
        return
    if wrong_entries:
        click.echo(compare_entries(of, family, caution=caution, units=settings.units), nl=False)
        return
    compared = compare(of, family, caution=caution, alone=alone)
    click.echo(table(compared, settings.units), nl=False)
    if picture is not None:
        drawn = picture_of(compared, of, family, caution, settings.units)
        try:
            picture.write_text(drawn, encoding="utf-8")
        except OSError as exc:
            raise SourceError(f"{picture}: cannot be written: {exc.strerror}") from exc
