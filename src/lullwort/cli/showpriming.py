"""What primes a batch, as people and programs read it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from lullwort.cli.primingsource import Asked
from lullwort.cli.stillso import no_longer_document
from lullwort.cli.warmest import maybe_warmer, silent_says
from lullwort.detector import Units, value_range
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day import ROOM_C, Estimate, Priming, Sealing, Syrup, gas_of_priming, points_g_l, sealing_of
from lullwort.records import format_utc
from lullwort.science import PrimedWith, equilibrium_gauge_bar
from lullwort.units import CO2_G_PER_VOLUME, co2_volumes_from_g_l

__all__ = [
    "CAUTIONS",
    "Amount",
    "amount_document",
    "asked_document",
    "danger",
    "known_lines",
    "label",
    "regulator_says",
    "sealing_with",
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
    assert held is not None
    assert moved is not None
    if target is not None:
        other = "g/L" if units.carbonation == "volumes" else "volumes"
        in_other = f"{units.number(target if other == 'g/L' else co2_volumes_from_g_l(target), 1)} {other}"
        yield (
            f"Target: {units.co2(target)} of CO2 ({in_other}; a volume is {units.number(CO2_G_PER_VOLUME, 3)} g/L, the "
            "real gas at 0 °C and 1 atm)."
        )
    yield _holds(asked, units)
    open_yet = asked.of is not None and asked.of.judged.verdict != "packaged" and held.warmest_us is not None
    if asked.of is not None and open_yet and (silent := silent_says(asked.of.judged.now, units)):
        yield silent
    yield _moves(asked, units)
    each = f"{_a_point(units)} {{}} makes {units.co2(points_g_l(1.0))} more."
    if asked.left is None:
        yield f"What has yet to ferment is not known: {each.format('that falls in the bottle')}"
        return
    about, at_most = (units.difference(points) for points in asked.left)
    more = each.format("more")
    yield f"Still to fall: about {about}, which count towards it, at most {at_most}. {more[:1].upper()}{more[1:]}"


def _a_point(units: Units) -> str:
    """As 'each point', or 'each 0.25 °P'."""
    return f"each {units.difference(1.0).removeprefix('1 ')}"


def _holds(asked: Asked, units: Units) -> str:
    held = asked.held
    assert held is not None
    about, at_most = units.co2(held.about), units.co2(held.at_most)
    says = f"It holds {about}" + ("" if about == at_most else f", at most {at_most}")
    if held.warmest_c is None:
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
        more = units.co2(points_g_l(1.0))
        return f"{says} Nobody knows here what it has left; {_a_point(units)} makes {more} on top of the target."
    fallen = f"Up to {units.difference(left[1])} may still fall"
    sealings = [sealing_with(asked, each.priming.kind, each.priming.grams) for each in amounts]
    worst = max((each for each in sealings if each is not None), key=lambda of: of.at_most_g_l, default=None)
    if worst is None or None in sealings or worst.beyond_all:
        return f"{says} {fallen}: far more gas than any bottle holds."
    room = worst.at_room
    burst = "bottles would burst" if room.exceeds else "bottles may burst"
    return (
        f"{says} {fallen}, which with this priming come to {units.co2(worst.at_most_g_l)} and "
        f"{units.gauge(room.at_most_bar)} at {units.temp(ROOM_C, 0)}; {asked.bears(units)}: {burst}."
    )


def sealing_with(asked: Asked, kind: PrimedWith, grams: float) -> Sealing | None:
    """What comes of so much priming in the bottle, as `lullwort sealed` tells it; None beyond the formulas."""
    assert asked.moved is not None
    assert asked.held is not None
    try:
        added = gas_of_priming(kind, grams, asked.moved, asked.held)
    except OutOfRangeError:
        return None
    return sealing_of(asked.held, asked.left or (0.0, 0.0), added, asked.limit)


_KEG_COLD_C = 4.0


def regulator_says(asked: Asked, units: Units) -> str:
    """At which gauge pressure a keg takes up and keeps the target from a cylinder, with no sugar at all."""
    target, now = asked.day.target_g_l, None if asked.of is None else asked.of.judged.now.temp_c
    assert target is not None
    temps_c = [_KEG_COLD_C] if now is None or abs(now - _KEG_COLD_C) < 0.5 else [now, _KEG_COLD_C]
    told = []
    for temp_c in temps_c:
        try:
            bar = equilibrium_gauge_bar(target, temp_c)
        except OutOfRangeError:
            continue
        told.append(f"{units.gauge(max(0.0, bar))} at {units.temp(temp_c)}")
    return (
        f"Or no priming: from a cylinder the keg takes up and keeps the target with the regulator at "
        f"{' or '.join(told)}, within what its maker allows; air the room, for carbon dioxide gathers."
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
    return f"Fill up with boiled, cooled water to {units.serving(syrup.volume_l)} of syrup, whose water is counted" + (
        f"; of that pour {', '.join(gets)}." if asked.sizes_l else "."
    )


def _weight(priming: Priming, units: Units) -> str:
    if priming.kind.name != "reserved-wort":
        return units.weight(priming.grams)
    return f"{units.weight(priming.grams)}, {_poured(priming.volume_l, units)}"


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
            "temperature_c": None if held.warmest_c is None else round(held.warmest_c, 2),
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
        "litres": round(priming.volume_l, 4) if priming.kind.name == "reserved-wort" else None,
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
