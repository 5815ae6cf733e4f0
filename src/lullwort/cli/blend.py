"""`lullwort blend`: what two beers make together, and what may still ferment in it."""

from __future__ import annotations

import json
from typing import Any, NamedTuple

import click

from lullwort.cli.amounts import positive_volume_l, volume_sd_l
from lullwort.cli.common import SHOWN, as_json_option, as_of_option, with_settings
from lullwort.cli.explaining import as_documents, explain_option, say_explained
from lullwort.cli.lines import say, say_page
from lullwort.cli.named import NAME
from lullwort.cli.shownunits import units_of
from lullwort.cli.showstrength import FOR_ONESELF, figures_document, show_figures
from lullwort.cli.strengthsource import OfBatch, Typed, batch_named, checked_gravities, gravities_of
from lullwort.cli.values import instant
from lullwort.counting import counted
from lullwort.detector import Units, value_range
from lullwort.errors import OutOfRangeError, UsageError
from lullwort.packaging_day import (
    BLEND_EXPLAINED,
    FIGURES_EXPLAINED,
    NOTHING_ADDED,
    ROOM_C,
    Estimate,
    LeftInBlend,
    Part,
    blend_figures,
    held_at,
    left_in_blend,
    limit_of,
    sealing_of,
)
from lullwort.settings import Settings

__all__ = ["blend"]

BEER = f"{NAME}|ORIGINAL/FINAL"
_LITTLE = 0.5
# [points] Less is within what a sensor or a hydrometer tells.


class _Beer(NamedTuple):
    """One of the two, as it is called, with how much of it goes in."""

    called: str
    of: OfBatch | None
    part: Part


@click.command(short_help="Tell what two beers make together, and what may still ferment in it.")
@click.argument("beers", nargs=2, metavar=f"{BEER} {BEER}")
@click.option("--take", metavar="VOLUME", multiple=True, required=True, help="Of each beer, in their order, at 20 °C.")
@click.option("--volume-within", metavar="VOLUME", help="By how much each volume may be off. Default: 3.3 %.")
@as_of_option
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def blend(
    settings: Settings, beers: tuple[str, str], take: tuple[str, ...], volume_within: str | None, as_of: str | None,
    explain: bool, as_json: bool,
) -> None:  # fmt: skip
    """Tell what two beers make together; give each as a batch, a vessel, or its two gravities as 1.050/1.012.

    What may still ferment is told, too: a blend is a new beer and has to prove that it has ended before it is bottled.

    Exit 0: told. Exit 1: no such batch, or a gravity of it is not known.
    """
    if len(take) != len(beers):
        times = counted(len(take), "time")
        raise UsageError(f"--take is given {times}, expected once for each beer: --take 10L --take 8L")
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    parts = [_beer(text, much, volume_within, as_of_us, settings) for text, much in zip(beers, take, strict=True)]
    if parts[0].of is not None and parts[1].of is not None and parts[0].of.batch.name == parts[1].of.batch.name:
        raise UsageError(f"both beers are {parts[0].of.batch.name!r}: name two")
    try:
        figures = blend_figures([beer.part for beer in parts])
    except OutOfRangeError as exc:
        raise UsageError(f"no formula covers this blend: {exc}") from exc
    left = left_in_blend([beer.part for beer in parts])
    explained = [*BLEND_EXPLAINED, *FIGURES_EXPLAINED.values()] if explain else None
    if as_json:
        document = _document(parts, figures, left)
        if explained is not None:
            document["explained"] = as_documents(explained)
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
        return
    _say(parts, figures, left, settings)
    if explained is not None:
        say_explained(explained, units_of(settings).decimal)


def _beer(text: str, take: str, within: str | None, as_of_us: int | None, settings: Settings) -> _Beer:
    volume_l = positive_volume_l(take, "--take", settings)
    sd_l = volume_sd_l(within, volume_l, "--volume-within", settings)
    units = units_of(settings)
    original, slash, final = text.partition("/")
    of = None if slash else batch_named(text, settings, as_of_us)
    typed = Typed(original, final) if slash else Typed()
    gravities = checked_gravities(gravities_of(of, typed, settings), settings)
    if of is None:
        return _Beer(f"the beer of {text}", None, Part(gravities, volume_l, sd_l))
    held_l = of.batch.volume_l
    if held_l is not None and volume_l > held_l + sd_l:
        raise UsageError(
            f"--take is {take!r}, but {of.batch.name!r} has {units.amount(held_l)} on record: was the other beer's "
            "volume meant, or is the one on record wrong (`lullwort batch edit`)?"
        )
    left = of.left
    return _Beer(of.batch.name, of, Part(gravities, volume_l, sd_l, *(left or (None, None))))


def _say(beers: list[_Beer], figures: dict[str, Estimate], left: LeftInBlend, settings: Settings) -> None:
    units = units_of(settings)
    volume, abv = figures["volume_l"], figures["abv"]
    of_what = " and ".join(f"{units.amount(beer.part.volume_l)} of {beer.called}" for beer in beers)
    say(
        f"{of_what} make {units.amount(volume.value, 2)} at {units.temp(20.0, 0)} of {units.number(abv.value, 1)} % by "
        "volume."
    )
    for beer in beers:
        say(f"  {_one(beer, units)}")
    say("")
    say_page(lambda page: show_figures(figures, units, page))
    say("")
    for line in _safety(beers, left, units):
        say(line)
    say(FOR_ONESELF)


def _one(beer: _Beer, units: Units) -> str:
    gravities = beer.part.gravities
    says = (
        f"{beer.called}: {value_range(units.level(gravities.original), units.level(gravities.final))}, apparent "
        f"attenuation {units.number(100.0 * beer.part.apparent_attenuation, 0)} %"
    )
    if beer.of is None:
        return f"{says}; what it has left to ferment is not known here"
    says = f"{says}, {beer.of.judged.verdict}"
    if beer.part.left is None or beer.part.left_upper is None:
        return f"{says}; what it has left to ferment is not known"
    return (
        f"{says}; left to ferment {units.difference(beer.part.left)}, at most {units.difference(beer.part.left_upper)}"
    )


def _safety(beers: list[_Beer], left: LeftInBlend, units: Units) -> list[str]:
    """What keeps this from the bottle; there is always something, for a blend has proved nothing."""
    under_way = [beer.called for beer in beers if beer.of is not None and beer.of.judged.verdict not in _ENDED]
    unknown = [beer.called for beer in beers if beer.part.left_upper is None]
    lines = []
    if under_way:
        lines.append(f"Do not bottle it: {' and '.join(under_way)} may not be packaged yet, and neither may the blend.")
    if left.by_the_drier.high > max(left.at_most or 0.0, _LITTLE):
        drier = max(beers, key=lambda beer: beer.part.apparent_attenuation).called
        ended = "" if under_way or unknown else ", though both have ended"
        lines.append(f"The yeast of {drier} may ferment what the other's has left{ended}.")
    if left.upper > _LITTLE:
        lines.append(f"Up to {units.difference(left.upper)} may still ferment so{_in_bottle(left, units)}.")
    if unknown:
        lines.append(
            f"How much of that {' and '.join(unknown)} had yet to ferment anyway is not known here, and comes on top."
        )
    lines.append(
        "A blend is a new beer: keep it under an airlock, open a batch for it, and bottle it once it has held still by "
        "itself. Bottles can burst; air the room, for carbon dioxide gathers."
    )
    return lines


_ENDED = ("ready", "packaged")


def _in_bottle(left: LeftInBlend, units: Units) -> str:
    sealing = sealing_of(held_at(ROOM_C), (left.about or 0.0, left.upper), NOTHING_ADDED, limit_of(None))
    if sealing is None or sealing.beyond_all:
        return ", far more than any bottle holds"
    bar = units.gauge(sealing.at_room.at_most_bar)
    bursts = f"; {sealing.limit.container.called} would burst" if sealing.at_room.exceeds else ""
    return f": bottled, up to {units.co2(sealing.at_most_g_l)} of CO2 and {bar} at {units.temp(ROOM_C)}{bursts}"


def _document(beers: list[_Beer], figures: dict[str, Estimate], left: LeftInBlend) -> dict[str, Any]:
    return {
        "of": [
            {
                "batch": None if beer.of is None else beer.of.batch.name,
                "verdict": None if beer.of is None else beer.of.judged.verdict,
                "volume_l": round(beer.part.volume_l, 4),
                "original_gravity": round(1.0 + beer.part.gravities.original / 1000.0, 6),
                "final_gravity": round(1.0 + beer.part.gravities.final / 1000.0, 6),
                "points_left": beer.part.left,
                "points_left_upper": beer.part.left_upper,
            }
            for beer in beers
        ],
        "range_holds": 0.9,
        **figures_document(figures),
        "may_ferment_points": {
            "about": None if left.about is None else round(left.about, 3),
            "at_most": None if left.at_most is None else round(left.at_most, 3),
            "by_the_drier": {name: round(value, 3) for name, value in left.by_the_drier._asdict().items()},
        },
        "cautions": _safety(beers, left, Units()),
    }
