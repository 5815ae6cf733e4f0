"""`lullwort sealed`: what bottles closed today would come to, kept cold to warm, beside what they bear."""

from __future__ import annotations

import json
from functools import partial
from typing import Any

import click
import msgspec

from lullwort.cli.choices import day_chosen
from lullwort.cli.common import SHOWN, as_json_option, as_of_option, with_settings
from lullwort.cli.explaining import as_documents, explain_option, say_explained
from lullwort.cli.heldtyped import TypedHeld, held_options, held_typed, stated_c
from lullwort.cli.lines import say_page, say_wrapped
from lullwort.cli.named import NAME
from lullwort.cli.packagingentry import choice_options, moved_option
from lullwort.cli.sealingdocument import limit_document, sealing_document
from lullwort.cli.showsealed import SealedAnswer, limit_explained, sealed_lines, show_table
from lullwort.cli.stillso import no_longer_document
from lullwort.cli.strengthsource import OfBatch, batch_named
from lullwort.cli.values import instant
from lullwort.cli.warmest import warmest_option
from lullwort.detector import Units
from lullwort.errors import OutOfRangeError, RefusedError, UsageError
from lullwort.packaging_day import (
    NOTHING_ADDED,
    SEALING_EXPLAINED,
    Held,
    Limit,
    Sealing,
    Today,
    gas_of_priming,
    gas_to_target,
    limit_of,
    moved_of,
    priming_kind,
    sealing_of,
    today_of,
)
from lullwort.records import Batch, PackagingDay, format_utc
from lullwort.settings import Settings

__all__ = ["sealed"]


@click.command(short_help="Tell what bottles closed today would come to, beside what they bear.")
@click.argument("name", required=False, metavar=f"[{NAME}]")
@choice_options
@moved_option
@click.option("--primed", metavar="WEIGHT", help="Priming that went in, of --priming-sugar: 118g or 4.2oz.")
@warmest_option
@held_options
@as_of_option
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def sealed(
    settings: Settings, name: str | None, warmest: str | None, holds: str | None, gauge: str | None,
    beer_temperature: str | None, as_of: str | None, explain: bool, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Tell what bottles of BATCH, or of the batch in VESSEL, come to if they are closed today: how much carbon dioxide,
    at which gauge pressure from 5 to 40 °C, and how far below what their kind bears; about, and at most.

    What was entered of its packaging day counts, and options instead of it for a try that is not kept. A limit given in
    volumes is what those press at 20 °C. It tells nothing of whether the beer may be packaged: `lullwort verdict` does.

    Exit 0: told. Exit 1: no such vessel or batch, or nothing may ferment in such a container.
    """
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    of = batch_named(name, settings, as_of_us, instead="")
    day = _day(of.batch, given, settings)
    limit = limit_of(day.container, day.limit_bar)
    if not limit.bears:
        raise RefusedError(
            f"nothing may ferment in {limit.container.called}, which are {limit.container.says.partition(':')[0]}: "
            "name with --container what this beer will be closed in"
        )
    today, held_how = _today(of, TypedHeld(warmest, holds, gauge, beer_temperature), settings)
    shown = Units() if as_json else settings.units
    answer = _answer(of, today, held_how, day, limit, given, shown)._replace(no_longer=of.no_longer)
    explained = (*SEALING_EXPLAINED, limit_explained(limit, settings.units))
    if as_json:
        document = _document(answer, settings.units)
        if explain:
            document["explained"] = as_documents(explained)
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
        return
    _say(answer, settings)
    if explain:
        say_explained(explained, settings.decimal)


def _day(batch: Batch, given: dict[str, Any], settings: Settings) -> PackagingDay:
    """What is on record of packaging day, with what was typed instead of it."""
    if given["target"] is not None and given["primed"] is not None:
        raise UsageError("--target and --primed are two answers to one question: give what is planned, or what went in")
    return day_chosen(settings, given, batch)


def _today(of: OfBatch, typed: TypedHeld, settings: Settings) -> tuple[Today, str]:
    """What there is to reckon with, and by which option what it holds is known: "gauge", "stated" or none of them."""
    now, name = of.judged.now, of.batch.name
    if now.split is not None:
        raise RefusedError(f"another batch seems to have begun in the log of {name!r}; `lullwort why` tells more")
    if now.gravity is None and of.judged.verdict != "lag":
        raise RefusedError(f"no gravity of {name!r} is known, and so not what would still ferment in the bottle")
    held, how = held_typed(of, typed, settings)
    today = today_of(of.judged, stated_c(of, typed, settings))
    if held is not None and today.unsaid in ("", "gauge", "temperature"):
        today = today._replace(held=held, unsaid="")
    if today.unsaid == "temperature":
        raise UsageError(
            f"no temperature of {name!r} is known by which to count what it holds: state the warmest since its "
            "activity ended with --warmest, as --warmest 20C, or keep one that does not change with `lullwort batch "
            "edit --steady-temperature`"
        )
    return today, how


def _answer(
    of: OfBatch, today: Today, held_how: str, day: PackagingDay, limit: Limit, given: dict[str, Any], units: Units
) -> SealedAnswer:
    if today.held is None:
        return SealedAnswer(of.batch, of.judged, today, limit, None, "", None)
    bare = sealing_of(today.held, today.left[:2], NOTHING_ADDED, limit)
    how, primed = _primed(of, today, held_how, day, limit, given, units)
    return SealedAnswer(of.batch, of.judged, today, limit, bare, how, primed, held_how)


def _primed(
    of: OfBatch, today: Today, held_how: str, day: PackagingDay, limit: Limit, given: dict[str, Any], units: Units
) -> tuple[str, Sealing | None]:
    """How it is primed, nothing where it is not, and what that comes to: by what went in, else by what is planned."""
    assert today.held is not None
    went_in = day.primed_g is not None and given["target"] is None
    if not went_in and day.target_g_l is None:
        return "", None
    if not went_in and of.judged.now.fallen_sealed is not None and not held_how:
        return "", None  # only its gauge tells what is missing
    try:
        how, added = _by_weight(of, today.held, day) if went_in else _by_target(today, day, units)
        return how, sealing_of(today.held, today.left[:2], added, limit)
    except OutOfRangeError:
        return "primed so", None


def _by_weight(of: OfBatch, held: Held, day: PackagingDay) -> tuple[str, tuple[float, float]]:
    assert day.sugar is not None
    assert day.primed_g is not None
    kind = priming_kind(day.sugar, of.judged)
    if kind is None:
        raise UsageError("what reserved wort makes is not known without the original gravity and that of the beer")
    moved = moved_of(msgspec.structs.replace(of.batch, packaging_day=day))
    if moved is None:
        raise UsageError(f"how much beer was primed? State --moved, or the volume of {of.batch.name!r}")
    return f"primed with {day.sugar.replace('-', ' ')}", gas_of_priming(kind, day.primed_g, moved, held)


def _by_target(today: Today, day: PackagingDay, units: Units) -> tuple[str, tuple[float, float]]:
    assert today.held is not None
    assert day.target_g_l is not None
    target, added = units.co2(day.target_g_l), gas_to_target(day.target_g_l, today.held, today.left)
    if added == NOTHING_ADDED:
        return f"not primed, for what it holds and has left comes to {target} or more by itself", added
    return f"primed to {target}", added


def _say(answer: SealedAnswer, settings: Settings) -> None:
    units = settings.units
    before, after = sealed_lines(answer, units)
    for line in before:
        say_wrapped(line)
    for heading, sealing in answer.tables:
        say_wrapped("")
        say_wrapped(heading)
        say_page(partial(show_table, sealing, units))
    say_wrapped("")
    for line in after:
        say_wrapped(line)


def _document(answer: SealedAnswer, units: Units) -> dict[str, Any]:
    before, after = sealed_lines(answer, units)
    held, left = answer.today.held, answer.today.left
    known = answer.judged.now.gravity is not None
    return {
        "batch": answer.batch.name,
        "vessel": answer.batch.vessel,
        "as_of": format_utc(answer.judged.as_of_us),
        "verdict": answer.judged.verdict,
        "proved": answer.judged.proved,
        "no_longer": no_longer_document(answer.no_longer),
        **limit_document(answer.limit),
        "held": None
        if held is None
        else {
            "co2_g_l": {"value": round(held.about, 3), "upper": round(held.at_most, 3)},
            "warmest_c": held.warmest_c,
            "warmest_at": None if held.warmest_us is None else format_utc(held.warmest_us),
            "in_sealed_vessel": held.by_pressure,
        },
        "points_left": {"value": round(left.about, 2), "upper": round(left.at_most, 2)} if known else None,
        "may_wake": left.may_wake,
        "primed_how": answer.how or None,
        "unprimed": sealing_document(answer.bare),
        "primed": sealing_document(answer.primed),
        "says": [*before, *after],
    }
