"""`lullwort priming`: how much sugar, malt extract, honey or wort brings a beer to its carbonation."""

from __future__ import annotations

import json
import math
from typing import Any

import click
import msgspec

from lullwort.cli.common import SHOWN, as_json_option, as_of_option, with_settings
from lullwort.cli.explaining import as_documents, explain_option, say_explained
from lullwort.cli.heldtyped import TypedHeld, held_options
from lullwort.cli.lines import say_page, say_wrapped
from lullwort.cli.named import NAME
from lullwort.cli.packagingentry import choice_options, moved_option
from lullwort.cli.primedalready import PrimedAlready, primed_already, primed_document, primed_says
from lullwort.cli.primingsource import Asked, TypedPriming, asked_for, checked_target, kinds_of, not_proved
from lullwort.cli.shownunits import local_as_of, local_time, units_of
from lullwort.cli.showpriming import (
    CAUTIONS,
    Amount,
    amount_document,
    asked_document,
    danger,
    known_lines,
    label,
    regulator_says,
    show_amounts,
    syrup_says,
)
from lullwort.cli.warmest import warmest_option
from lullwort.detector import MAY_BE_PACKAGED, Units, advice, reason
from lullwort.errors import OutOfRangeError, RefusedError, UsageError
from lullwort.explained import Explained
from lullwort.packaging_day import (
    HELD_EXPLAINED,
    LIMIT_EXPLAINED,
    PRIMING_FOR_EXPLAINED,
    ROOM_C,
    SYRUP_EXPLAINED,
    Danger,
    Syrup,
    bottle_doubts,
    closed_of,
    danger_of,
    no_longer_says,
    priming_for,
    syrup_for,
)
from lullwort.science import PrimedWith, sugar_solution
from lullwort.settings import Settings

__all__ = ["priming"]

_STRONGEST_G_L = sugar_solution(1.200, 1.0).sugar_g


@click.command(short_help="Tell how much sugar brings a beer to its carbonation, once it may be packaged.")
@click.argument("name", required=False, metavar=f"[{NAME}]")
@choice_options
@moved_option
@click.option("--syrup", metavar="VOLUME", help="Tell it as a syrup, filled up with boiled, cooled water to so much.")
@warmest_option
@held_options
@click.option("--original-gravity", metavar="GRAVITY", help="Of reserved wort. Default: the batch's, nothing added.")
@click.option("--final-gravity", metavar="GRAVITY", help="Where it will end. Default: by the batch's attenuation.")
@click.option("--insist", is_flag=True, help="Tell it though it is not proved that the beer has ended.")
@as_of_option
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def priming(
    settings: Settings, name: str | None, moved: str | None, syrup: str | None, warmest: str | None,
    holds: str | None, gauge: str | None, beer_temperature: str | None, original_gravity: str | None,
    final_gravity: str | None, insist: bool, as_of: str | None, explain: bool, as_json: bool, **choices: Any,
) -> None:  # fmt: skip
    """Tell how much priming BATCH, or the batch in VESSEL, needs, in all, in each bottle, and as a syrup; without a
    name the only batch under way.

    What it holds already is taken from the log: gas goes as beer warms, and does not come back in the cold. Choices are
    those on record (`lullwort batch edit`), overruled by options. Without a batch tell --moved, --target and one of
    --warmest, --holds and --gauge.

    Exit 0: told. Exit 1: not told, for it is not proved that the beer has ended; or no such vessel or batch, or
    something that contradicts what is on record.
    """
    typed = TypedPriming(
        moved, TypedHeld(warmest, holds, gauge, beer_temperature), original_gravity, final_gravity, syrup, choices
    )
    asked = asked_for(name, typed, as_of, settings)
    primed = primed_already(asked)
    if primed is not None:
        _tell_primed(asked, primed, settings, as_json=as_json)
        return
    if asked.day.target_g_l is not None:
        checked_target(asked, settings)
    if not asked.proved and not insist:
        _refuse(asked, settings, as_json=as_json)
    checked_target(asked, settings)
    _require(asked, units_of(settings), insist=insist)
    amounts = [_amount(asked, kind, units_of(settings)) for kind in _kinds(asked, typed, settings)]
    explained = _explained(asked) if explain else None
    if as_json:
        document = _document(asked, amounts)
        if explained is not None:
            document["explained"] = as_documents(explained)
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
        return
    _say(asked, amounts, settings)
    if explained is not None:
        say_explained(explained, settings.decimal)


def _tell_primed(asked: Asked, primed: PrimedAlready, settings: Settings, *, as_json: bool) -> None:
    """Of beer that is primed or closed: what is in it, and no table of amounts by which it might be sugared twice.

    Leaves with 1 where it is not proved that the beer had ended.
    """
    if as_json:
        document = _document(asked, [], primed)
        if not asked.proved:
            document |= {"refused": not_proved(asked, Units()), "amounts": None}
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
    else:
        units = units_of(settings)
        say_wrapped(_heading(asked, settings))
        if not asked.proved:
            say_wrapped(f"DANGER: {_danger_of_primed(asked).says(units)}")
        elif primed.grams and asked.held is not None and asked.moved is not None:
            for line in known_lines(asked, units):
                say_wrapped(line)
        for line in primed_says(asked, primed, units):
            say_wrapped(line)
    if not asked.proved:
        raise SystemExit(1)


def _danger_of_primed(asked: Asked) -> Danger:
    assert asked.of is not None
    batch = msgspec.structs.replace(asked.of.batch, packaging_day=asked.day)
    closed = closed_of(batch, asked.of.judged, proved=asked.proved)
    return danger_of(batch, asked.of.judged, closed, proved=asked.proved)


def _refuse(asked: Asked, settings: Settings, *, as_json: bool) -> None:
    """Say why no amount is told, and leave with 1."""
    if as_json:
        document = {**asked_document(asked), "refused": _why(asked, Units()), "danger": None, "amounts": None}
        click.echo(json.dumps({**document, "primed": None}, indent=2, ensure_ascii=False))
        raise SystemExit(1)
    units, of = units_of(settings), asked.of
    if of is not None:
        verdict, since_us = of.judged.verdict, of.judged.since_us
        since = "" if since_us is None else f" since {local_time(since_us, settings)}"
        say_wrapped(_heading(asked, settings))
        say_wrapped(f"May it be packaged?  {MAY_BE_PACKAGED[verdict]} ({verdict}{since}).")
        say_wrapped(reason(verdict, of.judged.now, units))
        # What was to be done next then is not what is to be done now.
        next_is = "" if of.no_longer is not None else advice(verdict, of.judged.now, units, proved=of.judged.proved)
        for nth, line in enumerate(next_is.splitlines()):
            if line.startswith("  "):
                click.echo(line)  # a command stays whole
            else:
                say_wrapped(line if nth else f"Next: {line}")
    say_wrapped(not_proved(asked, units))
    if asked.day.sugar == "reserved-wort":
        say_wrapped(
            "Reserved wort is kept back before pitching, about a tenth of the batch (common practice, no source), "
            "boiled, closed and cold."
        )
    raise SystemExit(1)


def _why(asked: Asked, units: Units) -> str:
    if asked.of is None:
        return not_proved(asked, units)
    return f"{reason(asked.of.judged.verdict, asked.of.judged.now, units)} {not_proved(asked, units)}"


def _heading(asked: Asked, settings: Settings) -> str:
    assert asked.of is not None
    batch = asked.of.batch
    return f"{batch.name} in vessel {batch.vessel}, as of {local_as_of(asked.of.judged, settings)}"


def _require(asked: Asked, units: Units, *, insist: bool) -> None:
    """Raise UsageError or RefusedError where something is missing, or nothing is to be added.

    By what has fallen in a sealed vessel alone its gas is told up to two volumes wrong: that takes insisting.
    """
    target, held = asked.day.target_g_l, asked.held
    assert target is not None
    if asked.moved is None:
        raise UsageError("--moved is missing: how much beer is to be primed?")
    if held is None or (asked.held_how == "sealed" and not insist):
        raise _not_known(asked)
    if target <= held.about:
        at = "" if held.warmest_c is None else f", at {units.temp(held.warmest_c)}"
        raise RefusedError(
            f"the beer holds {units.co2(held.about)} already{at}: for {units.co2(target)} there is nothing to add. Is "
            + ("the gauge" if asked.held_how == "gauge" else "the target")
            + f" in its right unit, {'bar or psi' if asked.held_how == 'gauge' else 'volumes or g/L'}?"
        )


def _not_known(asked: Asked) -> UsageError | RefusedError:
    if asked.of is None:
        return UsageError(
            "how much gas the beer holds is missing: tell the warmest it has been since activity ended with --warmest, "
            "or what it holds with --holds, or its gauge with --gauge and --beer-temperature"
        )
    if asked.of.judged.now.fallen_sealed is not None:
        return RefusedError(
            "the vessel was sealed, and how much gas it kept only its gauge tells: add it, as --gauge 1.1bar "
            "--beer-temperature 12C, both read once they have been steady for a day"
        )
    jar = " (how warm a sample was in its jar tells nothing of it)" if asked.of.judged.now.hand is not None else ""
    return RefusedError(
        f"no temperature of {asked.of.batch.name} is known since its activity ended{jar}: tell the warmest with "
        "--warmest, or what it holds with --holds; `lullwort batch edit --steady-temperature` keeps one that does not "
        "change"
    )


def _kinds(asked: Asked, typed: TypedPriming, settings: Settings) -> list[PrimedWith]:
    """As `kinds_of`, of which reserved wort is no syrup."""
    kinds = kinds_of(asked, typed, settings)
    if asked.syrup_l is None:
        return kinds
    syrups = [kind for kind in kinds if kind.name != "reserved-wort"]
    if not syrups:
        raise UsageError("--syrup is of sugar, malt extract or honey: reserved wort is poured in as it is")
    return syrups


def _amount(asked: Asked, kind: PrimedWith, units: Units) -> Amount:
    moved, held, target = asked.moved, asked.held, asked.day.target_g_l
    assert moved is not None
    assert held is not None
    assert target is not None
    left = asked.left or (0.0, 0.0)
    if asked.syrup_l is None:
        return Amount(priming_for(kind, moved, held, left, target), None)
    try:
        syrup: Syrup = syrup_for(kind, moved, held, left, target, asked.syrup_l)
    except OutOfRangeError as exc:
        grams = priming_for(kind, moved, held, left, target).grams
        least_l = math.ceil(11.0 * kind.extract * grams / _STRONGEST_G_L) / 10.0
        raise UsageError(
            f"--syrup {units.serving(asked.syrup_l)} is too little for this much {label(kind.name)}: a syrup so thick "
            f"hardly mixes with beer; take {units.serving(least_l)} or more"
        ) from exc
    if asked.syrup_l > 0.25 * moved.volume_l:
        raise UsageError(
            f"--syrup {units.serving(asked.syrup_l)} would water down {units.amount(moved.volume_l)} of beer: is its "
            "unit right?"
        )
    return Amount(syrup.priming, syrup)


def _say(asked: Asked, amounts: list[Amount], settings: Settings) -> None:
    units = units_of(settings)
    if asked.of is not None:
        say_wrapped(_heading(asked, settings))
    if not asked.proved:
        say_wrapped(danger(asked, amounts, units))
        if asked.of is not None and asked.of.no_longer is not None:
            say_wrapped(no_longer_says(asked.of.no_longer, units))
    for line in [*known_lines(asked, units), *bottle_doubts(asked.day, asked.moved, units)]:
        say_wrapped(line)
    say_wrapped("")
    if max(amount.priming.grams for amount in amounts) <= 0.0:
        say_wrapped("Nothing to add: what has yet to ferment brings it there, or beyond.")
        return
    if (syrup := amounts[0].syrup) is not None:
        say_wrapped(syrup_says(asked, syrup, units))
    say_page(lambda page: show_amounts(asked, amounts, units, page))
    say_wrapped("")
    for line in _after(asked, amounts, units):
        say_wrapped(line)


def _after(asked: Asked, amounts: list[Amount], units: Units) -> list[str]:
    lines = [f"In 9 of 10 cases it comes to the {units.carbonation} shown. {CAUTIONS}"]
    if asked.limit.container.name == "keg":
        lines.append(regulator_says(asked, units))
    if len(amounts) > 1 or amounts[0].priming.kind.name == "reserved-wort":
        lines.append("Reserved wort must have been kept back before pitching, boiled, closed and cold.")
        lines += _much_wort(asked, amounts, units)
    if any(amount.priming.may_exceed(asked.limit) for amount in amounts):
        lines.append(
            f"At the upper end that is too much: {asked.bears(units)} at {units.temp(ROOM_C, 0)}. Aim lower, or "
            "measure what is unsure."
        )
    if asked.of is not None and asked.of.judged.verdict == "ready" and asked.of.judged.now.confirmed_us is None:
        lines.append("Before sealing, confirm with one degassed hand reading. Store bottles closed in.")
    return lines


_MUCH_WORT = 0.25
# Of the beer: more makes another beer of it. Common practice, no source.


def _much_wort(asked: Asked, amounts: list[Amount], units: Units) -> list[str]:
    assert asked.moved is not None
    worts = [amount.priming.volume_l for amount in amounts if amount.priming.kind.name == "reserved-wort"]
    if not worts or worts[0] <= _MUCH_WORT * asked.moved.volume_l:
        return []
    return [
        f"{units.amount(worts[0], 2)} of reserved wort are more than a quarter of the beer, which it would change: is "
        "its gravity right?"
    ]


def _explained(asked: Asked) -> list[Explained]:
    held = [] if not asked.held_how else [HELD_EXPLAINED[asked.held_how]]
    if asked.held is not None and asked.held.warmest_us is not None:
        held.append(HELD_EXPLAINED["warmest"])
    if asked.limit.container.name == "keg" and asked.held_how != "gauge":
        held.append(HELD_EXPLAINED["gauge"])
    return [*held, *PRIMING_FOR_EXPLAINED, LIMIT_EXPLAINED, *([SYRUP_EXPLAINED] if asked.syrup_l is not None else [])]


def _document(asked: Asked, amounts: list[Amount], primed: PrimedAlready | None = None) -> dict[str, Any]:
    return {
        **asked_document(asked),
        "refused": None,
        "danger": None if asked.proved or not amounts else danger(asked, amounts, Units()),
        "amounts": [amount_document(asked, amount) for amount in amounts],
        "primed": primed_document(primed),
    }
