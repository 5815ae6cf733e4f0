"""`lullwort plan`: how much beer, which bottles, on which days, and the check-list for packaging day."""

from __future__ import annotations

import json
from typing import Any

import click
import msgspec

from lullwort.cellarbook import open_book
from lullwort.cli.asked import asked_or_only
from lullwort.cli.choices import day_chosen
from lullwort.cli.common import SHOWN, as_json_option, as_of_option, with_settings
from lullwort.cli.dateoptions import date_options, day_of
from lullwort.cli.explaining import as_documents, explain_option, say_explained
from lullwort.cli.foreseeing import foreseen_by_book
from lullwort.cli.lines import say_page
from lullwort.cli.named import NAME
from lullwort.cli.packagingentry import choice_options, moved_option
from lullwort.cli.showplan import PlanShown, plan_document, show_plan
from lullwort.cli.stillso import no_longer_of
from lullwort.cli.values import instant
from lullwort.detector import Judged
from lullwort.errors import RefusedError
from lullwort.explained import Explained
from lullwort.packaging_day import (
    BOTTLING_EXPLAINED,
    CHECKLIST_EXPLAINED,
    CRASH_DAYS,
    DATES_EXPLAINED,
    HELD_EXPLAINED,
    LIMIT_EXPLAINED,
    MOVED_EXPLAINED,
    USUAL_CONTAINER,
    Circumstances,
    batch_by_then,
    closed_of,
    danger_of,
    filling_of,
    moved_of,
    packaging_dates,
    usual_bottles,
)
from lullwort.records import Batch
from lullwort.science import PRIMING_EXPLAINED
from lullwort.settings import Settings
from lullwort.standing import Entry

__all__ = ["plan"]


@click.command(short_help="Plan packaging day: volume, bottles, days, check-list.")
@click.argument("name", required=False, metavar=f"[{NAME}]")
@date_options
@choice_options
@moved_option
@click.option("--checklist", "with_list", is_flag=True, help="With the check-list, step by step.")
@as_of_option
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def plan(
    settings: Settings, name: str | None, crash_days: int | None, on: str | None, with_list: bool, as_of: str | None,
    explain: bool, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Plan the packaging day of BATCH, or of the youngest batch in VESSEL; without a name of the one under way.

    It tells how much beer will be moved, which bottles it fills, and on which days it is warmed for a rest, chilled
    and packaged; --checklist what is to be done, in its order. Options are for a try, and are not kept: `lullwort batch
    edit` keeps them. `lullwort export plan.ics --batch BATCH` writes the days for a calendar.

    Exit 0: told. Exit 1: no such vessel or batch, or the day of --on is refused.
    """
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    wished = day_of(on, "--on")
    with open_book(settings.book, create=False) as book:
        meant = _not_refilled(asked_or_only(book, name, as_of_us))
        no_longer = no_longer_of(book, meant, as_of_us)
        (entry,) = foreseen_by_book([meant], book)
    batch, judged = entry.batch, entry.judged
    assert batch is not None
    assert judged is not None
    batch = batch_by_then(batch, judged.as_of_us)
    tried = msgspec.structs.replace(batch, packaging_day=day_chosen(settings, given, batch))
    days = CRASH_DAYS if crash_days is None else crash_days
    dates = packaging_dates(judged, entry.forecast, settings.zone, crash_days=days, on=wished)
    day, moved = tried.packaging_day, moved_of(tried)
    container = day.container or USUAL_CONTAINER
    bottles = day.bottles or usual_bottles(day.container, settings.volume)
    filling = None if moved is None else filling_of(moved, bottles, partly=container == "keg")
    stands, proved = judged if no_longer is None else no_longer, judged.proved and no_longer is None
    danger = danger_of(tried, judged, closed_of(tried, judged, proved=proved), proved=proved)
    weighed_g, over_limit, may_exceed = (None, False, False) if no_longer is not None else _priming(tried, judged)
    circumstances = Circumstances(
        batch.name, stands.verdict, container, days, dates.cold_since_us is not None, judged.now.sealed is not None,
        moved, filling, day.sugar, weighed_g, over_limit, may_exceed, danger, day.primed_g, _holds_to_c(tried, judged),
    )  # fmt: skip
    shown = PlanShown(tried, judged, dates, circumstances, bool(day.bottles), no_longer)
    explained = _explained(shown) if explain else []
    if as_json:
        document = plan_document(shown) | ({"explained": as_documents(explained)} if explain else {})
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
    else:
        say_page(lambda page: show_plan(shown, settings, page, with_list=with_list))
        if explain:
            say_explained(explained, settings.decimal)
    raise SystemExit(1 if dates.wish is not None and dates.wish.refused else 0)


def _explained(shown: PlanShown) -> list[Explained]:
    figures = [MOVED_EXPLAINED, *BOTTLING_EXPLAINED, *DATES_EXPLAINED]
    if shown.of.priming_g is not None and shown.of.primed:
        figures += [HELD_EXPLAINED["at rest"], *PRIMING_EXPLAINED]
    return [*figures, LIMIT_EXPLAINED, CHECKLIST_EXPLAINED]


def _not_refilled(entry: Entry) -> Entry:
    if entry.batch is None:
        raise RefusedError(f"vessel {entry.vessel!r} has readings, but no batch: there is nothing to plan")
    if entry.refilled and entry.batch.packaged_us is None:
        raise RefusedError(
            f"another batch was pitched into vessel {entry.vessel!r} after {entry.batch.name}: nothing of it is left "
            f"to plan; `lullwort batch close batch:{entry.batch.name} --packaged TIME` says when it was packaged"
        )
    return entry


def _holds_to_c(batch: Batch, judged: Judged) -> float | None:
    """[°C] Up to which its bottles bear what was put in, or what its target comes to, as `lullwort sealed` has it."""
    closed = closed_of(batch, judged, proved=judged.verdict in ("ready", "packaged"))
    return None if closed.sealing is None else closed.sealing.holds_to_c


def _priming(batch: Batch, judged: Judged) -> tuple[float | None, bool, bool]:
    """[g] Of priming, None where that is not told, whether the target is more than the container bears, and whether
    the priming may be.

    Only of a beer that is ready, and by the same sums as its page; `lullwort priming` tells what is not plain.
    """
    if judged.verdict != "ready":
        return None, False, False
    day = msgspec.structs.replace(batch.packaging_day, primed_g=None)
    closed = closed_of(msgspec.structs.replace(batch, packaging_day=day), judged, proved=True)
    grams = None if closed.to_prime is None else closed.to_prime.grams
    return grams, closed.target_exceeds, closed.may_exceed
