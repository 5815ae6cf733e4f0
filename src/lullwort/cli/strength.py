"""`lullwort strength`: what a beer holds and how far it fermented, each figure with its range."""

from __future__ import annotations

import json
from typing import Any

import click

from lullwort.cli.amounts import AMOUNT, KINDS, Weighed, per_cent_within, positive_volume_l, volume_sd_l, weighed
from lullwort.cli.common import SHOWN, as_json_option, as_of_option, with_settings
from lullwort.cli.explaining import as_documents, explain_option, say_explained
from lullwort.cli.lines import say, say_page
from lullwort.cli.named import NAME
from lullwort.cli.shownunits import local_as_of, units_of
from lullwort.cli.showstrength import FOR_ONESELF, figures_document, rules_beside, show_figures
from lullwort.cli.strengthsource import OfBatch, Typed, batch_named, checked_gravities, gravities_of
from lullwort.cli.values import instant
from lullwort.detector import Units
from lullwort.errors import OutOfRangeError, UsageError
from lullwort.explained import Explained
from lullwort.packaging_day import (
    ADDED_EXPLAINED,
    FIGURES_EXPLAINED,
    RULES_EXPLAINED,
    Added,
    Estimate,
    Gravities,
    Put,
    strength_figures,
)
from lullwort.records import format_utc
from lullwort.science import INGREDIENTS, water_kg
from lullwort.settings import Settings

__all__ = ["strength"]


@click.command(short_help="Tell what a beer holds: alcohol, extract, attenuation, energy.")
@click.argument("name", required=False, metavar=f"[{NAME}]")
@click.option("--original-gravity", metavar="GRAVITY", help="Of the wort before pitching.")
@click.option("--final-gravity", metavar="GRAVITY", help="Of the degassed beer.")
@click.option("--original-within", metavar="DIFFERENCE", help="By how much the one reading may be off, 9 times in 10.")
@click.option("--final-within", metavar="DIFFERENCE", help="And the other. Default: an ordinary hydrometer's error.")
@click.option("--both-within", metavar="DIFFERENCE", help="What the instrument may read wrong in both alike.")
@click.option(
    "--added",
    metavar=AMOUNT,
    multiple=True,
    help=f"Put in after the original gravity was read, as '500g sucrose', '2kg fruit 12%', '2L water'; any of {KINDS}.",
)
@click.option("--volume", metavar="VOLUME", help="Of the wort into which that went, at 20 °C. Default: the batch's.")
@click.option("--volume-after", metavar="VOLUME", help="To which it was then boiled down or filled up with water.")
@click.option("--volume-within", metavar="VOLUME", help="By how much the volume may be off. Default: 3.3 %.")
@click.option("--weights-within", metavar="PERCENT", help="By how much the weights may be off. Default: 1.6.")
@as_of_option
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def strength(
    settings: Settings, name: str | None, added: tuple[str, ...], volume: str | None, volume_after: str | None,
    volume_within: str | None, weights_within: str | None, as_of: str | None, explain: bool, as_json: bool,
    original_gravity: str | None, final_gravity: str | None, original_within: str | None, final_within: str | None,
    both_within: str | None,
) -> None:  # fmt: skip
    """Tell what BATCH, or the batch in VESSEL, holds now; or any beer, by --original-gravity and --final-gravity.

    Additions noted for a batch are counted in its original gravity already; --added is for what is not on record. A
    DIFFERENCE is one of gravities and may carry its unit: 0.001SG, 1pt or 0.25P.

    Exit 0: told. Exit 1: no such vessel or batch, or a gravity of it is not known.
    """
    typed = Typed(original_gravity, final_gravity, original_within, final_within, both_within)
    of = None
    if name is not None:
        of = batch_named(name, settings, None if as_of is None else instant(as_of, "--as-of", settings))
    elif as_of is not None:
        raise UsageError("--as-of goes with a batch: name one")
    gravities = gravities_of(of, typed, settings)
    things = [weighed(text, "--added", settings) for text in added]
    put = _put(things, of, volume, volume_after, volume_within, weights_within, settings)
    if put is None:
        gravities = checked_gravities(gravities, settings)
    try:
        figures = strength_figures(gravities, put)
        checked_gravities(gravities._replace(original=figures["original_gravity"].value), settings)
    except OutOfRangeError as exc:
        raise UsageError(_no_such_beer(things, put, exc, units_of(settings))) from exc
    counted = gravities._replace(original=figures["original_gravity"].value)
    explained = _explained(put) if explain else []
    if as_json:
        click.echo(json.dumps(_document(of, figures, explained if explain else None), indent=2, ensure_ascii=False))
    else:
        _say(of, figures, put, things, settings)
        if explain:
            _say_explained(explained, counted, units_of(settings))


def _no_such_beer(things: list[Weighed], put: Added | None, exc: OutOfRangeError, units: Units) -> str:
    if put is None:
        return f"no formula covers this beer: {exc}"
    what = ", ".join(thing.says(units) for thing in things) or "what was boiled away or filled up"
    return f"{what} in {units.amount(put.volume_l)} makes no beer that a formula covers: are both units right?"


def _put(
    things: list[Weighed], of: OfBatch | None, volume: str | None, after: str | None, within: str | None,
    weights_within: str | None, settings: Settings,
) -> Added | None:  # fmt: skip
    """What went in, and into how much wort; None where nothing did."""
    if not things and after is None:
        if volume is not None or within is not None:
            raise UsageError("--volume goes with --added or --volume-after: strength alone does not hang on it")
        return None
    before_l = _volume_l(of, volume, settings)
    volume_sd = volume_sd_l(within, before_l, "--volume-within", settings)
    share = per_cent_within(weights_within, "--weights-within")
    put = tuple(Put(thing.ingredient, thing.mass_kg, share * thing.mass_kg) for thing in things)
    if after is not None:
        changed_kg = water_kg(positive_volume_l(after, "--volume-after", settings) - before_l)
        # Both volumes are read off one vessel, so that of their difference only a part is unsure.
        put += (Put(INGREDIENTS["water"], changed_kg, 0.1 * abs(changed_kg)),)
    return Added(before_l, volume_sd, put)


def _volume_l(of: OfBatch | None, volume: str | None, settings: Settings) -> float:
    if volume is not None:
        return positive_volume_l(volume, "--volume", settings)
    if of is None or of.batch.volume_l is None:
        raise UsageError("--volume is missing: how much wort was it, in which that went?")
    return of.batch.volume_l


def _say(
    of: OfBatch | None, figures: dict[str, Estimate], put: Added | None, things: list[Weighed], settings: Settings
) -> None:
    units = units_of(settings)
    if of is not None:
        say(f"{of.batch.name} in vessel {of.batch.vessel}, as of {local_as_of(of.judged, settings)}")
    abv = figures["abv"]
    so_far = " so far" if of is not None and of.judged.verdict not in ("ready", "packaged") else ""
    say(
        f"Strength{so_far} {units.number(abv.value, 1)} % by volume ({units.number(abv.low, 1)} to "
        f"{units.number(abv.high, 1)}, 9 in 10 sure)."
    )
    if put is not None:
        for line in _what_went_in(figures, put, things, units):
            say(line)
    say("")
    say_page(lambda page: show_figures(figures, units, page))
    say("")
    say(FOR_ONESELF)


def _what_went_in(figures: dict[str, Estimate], put: Added, things: list[Weighed], units: Units) -> list[str]:
    what = ", ".join(thing.says(units) for thing in things)
    into = f"in {units.amount(put.volume_l)} of wort"
    lines = [f"Counted in: {what} {into}."] if what else []
    changed_kg = sum(each.mass_kg for each in put.what[len(things) :])
    if changed_kg:
        after_l = put.volume_l + changed_kg / water_kg(1.0)
        how = "filled up with water" if changed_kg > 0.0 else "boiled down"
        lines.append(
            f"Counted in: {how} from {units.amount(put.volume_l)} to {units.amount(after_l)}, its extract kept."
        )
    return [*lines, f"That makes an original gravity of {units.level(figures['original_gravity'].value)}."]


def _document(of: OfBatch | None, figures: dict[str, Estimate], explained: list[Explained] | None) -> dict[str, Any]:
    batch = None if of is None else of.batch.name
    as_of = None if of is None else format_utc(of.judged.as_of_us)
    document = {"batch": batch, "as_of": as_of, "range_holds": 0.9, **figures_document(figures)}
    return document if explained is None else {**document, "explained": as_documents(explained)}


def _explained(put: Added | None) -> list[Explained]:
    return [*FIGURES_EXPLAINED.values(), *(ADDED_EXPLAINED if put is not None else ()), *RULES_EXPLAINED]


def _say_explained(explained: list[Explained], gravities: Gravities, units: Units) -> None:
    say_explained(explained, units.decimal)
    if beside := list(rules_beside(gravities, units)):
        say(f"  Beside it, the short formulas: {' and '.join(beside)} by volume.")
