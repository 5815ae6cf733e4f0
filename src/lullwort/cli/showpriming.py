"""What primes a batch, as people and programs read it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from lullwort.cli.primingsource import Asked
from lullwort.cli.stillso import no_longer_document
from lullwort.cli.warmest import maybe_warmer
from lullwort.detector import Units, value_range
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day import ROOM_C, Estimate, Priming, Syrup, points_g_l
from lullwort.records import format_utc
from lullwort.science import carbonation_g_l
from lullwort.units import CO2_G_PER_VOLUME, co2_volumes_from_g_l

__all__ = [
    "CAUTIONS",
    "Amount",
    "amount_document",
    "asked_document",
    "danger",
    "known_lines",
    "show_amounts",
    "syrup_says",
]

_ANY_WIDTH = 1000
CAUTIONS = (
    "Weigh it, for a cup is off by a tenth or more, and mix it in evenly without splashing: one bottle that is sugared "
    "twice bursts. Boiling syrup scalds, and cracks cold glass: let it cool under a lid first."
)
_LABELS = {
    "dextrose": "dextrose, monohydrate",
    "dextrose-anhydrous": "dextrose, anhydrous",
    "dry-malt-extract": "dry malt extract",
    "reserved-wort": "reserved wort",
}


class Amount(NamedTuple):
    """One kind of priming, dry and, where that was asked for, as syrup."""

    priming: Priming
    syrup: Syrup | None

    @property
    def label(self) -> str:
        """What it is called in a list."""
        return label(self.priming.kind.name)


def label(name: str) -> str:
    """What a kind of priming is called."""
    return _LABELS.get(name, name)


# -- text --------------------------------------------------------------------------------------------------------------


def known_lines(asked: Asked, units: Units) -> Iterator[str]:
    """What the amounts rest on, a sentence or two for each."""
    target, held, moved = asked.day.target_g_l, asked.held, asked.moved
    assert target is not None
    assert held is not None
    assert moved is not None
    other = "g/L" if units.carbonation == "volumes" else "volumes"
    in_other = f"{units.number(target if other == 'g/L' else co2_volumes_from_g_l(target), 1)} {other}"
    yield (
        f"Target: {units.co2(target)} of CO2 ({in_other}; a volume is {units.number(CO2_G_PER_VOLUME, 3)} g/L, the "
        "real gas at 0 °C and 1 atm)."
    )
    yield _holds(asked, units)
    yield _moves(asked, units)
    point, each = units.difference(1.0), units.co2(points_g_l(1.0))
    if asked.left is None:
        yield f"What has yet to ferment is not known: each {point} that falls in the bottle makes {each} more."
        return
    about, at_most = (units.difference(points) for points in asked.left)
    yield (
        f"Still to fall: about {about}, which count towards it, at most {at_most}. Each {point} more makes {each} more."
    )


def _holds(asked: Asked, units: Units) -> str:
    held = asked.held
    assert held is not None
    about, at_most = units.co2(held.about), units.co2(held.at_most)
    says = f"It holds {about}" + ("" if about == at_most else f", at most {at_most}")
    if not asked.held_how:
        return f"{says}, as stated."
    temp = units.temp(held.warmest_c)
    if asked.held_how == "gauge":
        return f"{says}, by the gauge at {temp} once gas and beer are at rest."
    if held.by_pressure:
        return (
            f"{says} by what has fallen since the vessel was sealed at {temp}, less what a valve let out: its gauge "
            "tells better (--gauge, --beer-temperature)."
        )
    if asked.falls:
        return f"{says}, which beer at {temp} does while it ferments."
    if held.warmest_us is None or held.since_us is None:
        return f"{says}, by {temp}: gas that has gone does not come back in the cold."
    if says_more := maybe_warmer(asked.of.judged.now, units) if asked.of is not None else "":
        return (
            f"{says}, by the warmest on record since it came to rest, {temp} ({units.moment(held.warmest_us)}): gas "
            f"that has gone does not come back in the cold. {says_more}"
        )
    return (
        f"{says}: the warmest since activity ended ({units.moment(held.since_us)}) was {temp} "
        f"({units.moment(held.warmest_us)}), and gas that has gone does not come back in the cold."
    )


def _moves(asked: Asked, units: Units) -> str:
    moved = asked.moved
    assert moved is not None
    if moved.losses_l is None:
        how = "by the bottles filled" if moved.known_by == "bottles filled" else "as measured"
        return f"Beer to be primed: {units.amount(moved.volume_l)}, {how}."
    how = "as stated" if moved.known_by == "stated losses" else "the usual"
    return (
        f"Beer to be primed: {units.amount(moved.volume_l)}, once {units.amount(moved.losses_l)} stay behind, {how}: "
        "measure what you move, and tell it with --moved."
    )


def danger(asked: Asked, amounts: list[Amount], units: Units) -> str:
    """What comes first where an amount is told of beer that is not proved."""
    held, left = asked.held, asked.left
    assert held is not None
    assert asked.moved is not None
    says = "DANGER: it is not proved that this beer has ended, and bottles in which beer goes on fermenting burst."
    if left is None:
        point, more = units.difference(1.0), units.co2(points_g_l(1.0))
        return f"{says} Nobody knows here what it has left; each {point} makes {more} on top of the target."
    fallen = f"Up to {units.difference(left[1])} may still fall"
    worst = max(
        carbonation_g_l(each.priming.kind, each.priming.grams, asked.moved.volume_l, held.at_most + points_g_l(left[1]))
        for each in amounts
    )
    try:
        bar = asked.limit.pressed_by(worst)
    except OutOfRangeError:
        return f"{says} {fallen}: far more gas than any bottle holds."
    burst = "bottles would burst" if bar > asked.limit.bar else "bottles may burst"
    return (
        f"{says} {fallen}, which with this priming come to {units.co2(worst)} and {units.gauge(bar)} at "
        f"{units.temp(ROOM_C, 0)}; {asked.bears(units)}: {burst}."
    )


def show_amounts(asked: Asked, amounts: list[Amount], units: Units, out: Console) -> None:
    """Each kind of priming: for the batch, for each bottle, and to what it comes."""
    rows = [list(_cells(asked, amount, units)) for amount in amounts]
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, pad_edge=False, header_style="underline")
    for head, _ in rows[0]:
        table.add_column(head, no_wrap=True)
    for row in rows:
        table.add_row(*(says for _, says in row))
    # Asked plainly, a table is never wider than its page.
    wants = out.measure(table, options=out.options.update(max_width=_ANY_WIDTH)).maximum
    if (room := out.width - wants) >= 0:
        out.print(Padding(table, (0, 0, 0, min(room, 2))))
        return
    for row in rows:
        out.print(Padding(row[0][1], (0, 0, 0, 2)))
        for head, says in row[1:]:
            out.print(Padding(f"{head}: {says}", (0, 0, 0, 4)))


def _cells(asked: Asked, amount: Amount, units: Units) -> Iterator[tuple[str, str]]:
    """Heads and what stands under them."""
    priming, syrup = amount.priming, amount.syrup
    assert asked.moved is not None
    yield "", amount.label
    yield f"for {units.amount(asked.moved.volume_l)}", _weight(priming, units)
    if syrup is not None:
        yield "with water", units.weight(syrup.water_g)
    for bottle_l in asked.sizes_l if syrup is None else ():
        share_l = priming.volume_l * bottle_l / priming.fills_l
        wort = priming.kind.name == "reserved-wort"
        says = _poured(share_l, units) if wort else units.weight(priming.grams_in(bottle_l))
        yield f"in {units.serving(bottle_l)}", says
    span = value_range(units.co2(priming.low_g_l), units.co2(priming.high_g_l))
    yield units.carbonation, span.removesuffix(f" {units.carbonation}")


def syrup_says(asked: Asked, syrup: Syrup, units: Units) -> str:
    """How it is made, and how much of it each bottle gets, which is the same of all kinds."""
    gets = (f"{_poured(syrup.l_in(size_l), units)} into {units.serving(size_l)}" for size_l in asked.sizes_l)
    return (
        f"Fill up with boiled, cooled water to {units.serving(syrup.volume_l)} of syrup, whose water is counted; of "
        f"that pour {', '.join(gets)}."
    )


def _weight(priming: Priming, units: Units) -> str:
    if priming.kind.name != "reserved-wort":
        return units.weight(priming.grams)
    poured = _poured(priming.volume_l, units)
    return poured if units.weight_unit == "oz" else f"{units.weight(priming.grams)}, {poured}"


def _poured(volume_l: float, units: Units) -> str:
    return units.amount(volume_l, 2) if volume_l >= 1.0 else units.serving(volume_l)


# -- for programs ------------------------------------------------------------------------------------------------------


def asked_document(asked: Asked) -> dict[str, Any]:
    """What the amounts rest on; None where something is not known."""
    of, held, moved, left = asked.of, asked.held, asked.moved, asked.left
    return {
        "batch": None if of is None else of.batch.name,
        "as_of": None if of is None else format_utc(of.judged.as_of_us),
        "verdict": None if of is None else of.judged.verdict,
        "proved": asked.proved,
        "no_longer": None if of is None else no_longer_document(of.no_longer),
        "co2_g_l_per_volume": CO2_G_PER_VOLUME,
        "target_g_l": asked.day.target_g_l,
        "holds": None if held is None else {
            "g_l": round(held.about, 3),
            "at_most_g_l": round(held.at_most, 3),
            "known_by": asked.held_how or "stated",
            "temperature_c": round(held.warmest_c, 2) if asked.held_how else None,
            "warmest_at": None if held.warmest_us is None else format_utc(held.warmest_us),
            "at_rest_since": None if held.since_us is None else format_utc(held.since_us),
        },
        "volume_l": None if moved is None else {"value": round(moved.volume_l, 3), "known_by": moved.known_by},
        "points_left": None if left is None else {"value": round(left[0], 2), "upper": round(left[1], 2)},
        "container": {"name": asked.limit.container.name, "limit_bar": round(asked.limit.bar, 3)},
    }  # fmt: skip


def amount_document(asked: Asked, amount: Amount) -> dict[str, Any]:
    """One kind of priming."""
    priming, syrup = amount.priming, amount.syrup
    return {
        "kind": priming.kind.name,
        "grams": round(priming.grams, 2),
        "litres": round(priming.volume_l, 4),
        "comes_to_g_l": estimate_document(Estimate(priming.comes_to_g_l, priming.low_g_l, priming.high_g_l)),
        "syrup": None if syrup is None else {"litres": syrup.volume_l, "water_grams": round(syrup.water_g, 1)},
        "bottles": [
            {
                "litres": size_l,
                "grams": round(priming.grams_in(size_l), 3),
                "syrup_ml": None if syrup is None else round(1000.0 * syrup.l_in(size_l), 2),
            }
            for size_l in asked.sizes_l
        ],
    }


def estimate_document(estimate: Estimate) -> dict[str, float]:
    """A value with its range."""
    return {name: round(value, 3) for name, value in estimate._asdict().items()}
