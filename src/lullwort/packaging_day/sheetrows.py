"""The figures of a batch's page, as rows of words under headings."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from lullwort.counting import counted
from lullwort.detector import Units, value_range
from lullwort.forecast import outlook
from lullwort.packaging_day.bottlewords import lots_say
from lullwort.packaging_day.bottling import filling_of
from lullwort.packaging_day.containers import Limit
from lullwort.packaging_day.moved import Moved
from lullwort.packaging_day.sealing import SEALING_TEMPS_C, Sealing
from lullwort.packaging_day.sheetfacts import SheetFacts, TempAt, ToldThen
from lullwort.packaging_day.today import FALLS
from lullwort.packaging_day.uncertain import Estimate
from lullwort.records import HOUR_US, BottleLot

__all__ = ["Row", "Section", "sections_of"]


class Row(NamedTuple):
    """A figure: its name, its value, and how it is known or when it was so; `ranged` where a range of 9 in 10 is in."""

    label: str
    says: str
    beside: str = ""
    ranged: bool = False


class Section(NamedTuple):
    """Rows under a heading, 1 or more."""

    heading: str
    rows: tuple[Row, ...]


def sections_of(facts: SheetFacts, units: Units) -> tuple[Section, ...]:
    """The sections that have something to say, in their order."""
    makers = {
        "Dates": _dates, "Gravity": _gravities, "Strength": _strength, "Temperature": _temperatures,
        "Volumes and bottles": _volumes, "Carbonation": _carbonation,
    }  # fmt: skip
    made = (Section(heading, tuple(maker(facts, units))) for heading, maker in makers.items())
    return tuple(section for section in made if section.rows)


def _dates(facts: SheetFacts, units: Units) -> Iterator[Row]:
    pitched_us = facts.batch.pitched_us

    def row(label: str, at_us: int) -> Row:
        return Row(label, units.moment(at_us), f"day {(at_us - pitched_us) // (24 * HOUR_US)}")

    yield Row("pitched", units.moment(pitched_us))
    dated: list[tuple[int, Row]] = []
    for label, at_us in (
        ("activity ended", facts.rest_us),
        ("ready", None if facts.proved is None else facts.proved.at_us),
        ("packaged", facts.batch.packaged_us),
    ):
        if at_us is not None:
            dated.append((at_us, row(label, at_us)))
    if facts.told:
        told_us = facts.told[-1].at_us
        dated.append((told_us, Row("told", units.moment(told_us), _told(facts.told))))
    yield from (each for _, each in sorted(dated, key=lambda each: each[0]))
    if facts.batch.packaged_us is not None:
        return
    asked = facts.seen.first_sample or (None if facts.seen.hand is None else facts.seen.hand.next)
    if asked is not None and not facts.seen.untempered:
        yield Row("next sample", f"from {units.moment(asked.from_us)} on")
    elif facts.forecast is not None and facts.forecast.ready is not None:
        yield Row("foreseen", outlook(facts.forecast, units))


def _told(told: Sequence[ToldThen]) -> str:
    says = "ready to package" if told[-1].verdict == "ready" else "that ready is withdrawn"
    return f"{says}, the last of {len(told)} times" if len(told) > 1 else says


def _gravities(facts: SheetFacts, units: Units) -> Iterator[Row]:
    if facts.original is not None:
        yield _ranged("original", facts.original, units.level, _original_by(facts))
    if facts.gravity is not None:
        label = "final" if facts.proved is not None else "when packaged" if facts.packaged else "now"
        yield _ranged(label, facts.gravity, units.level, _gravity_by(facts))
    elif facts.doubts.stands_us is not None:
        since = units.moment(facts.doubts.stands_us)
        yield Row("now", "not known", f"the sensor gives the same again and again since {since}")
    expected = facts.seen.expected
    if expected is not None:
        says = value_range(units.level(expected.low, 3), units.level(expected.high, 3))
        yield Row("should end at", says, _EXPECTED_BY[expected.source])


_RISEN_POINTS = 1.0
# Less is nothing that a brewer would notice.
_EXPECTED_BY = {
    "recipe": "by the recipe",
    "forced test": "by a forced ferment test",
    "attenuation": "by the attenuation entered",
    "yeast in general": "by what yeast generally does",
}


def _original_by(facts: SheetFacts) -> str:
    by, entered = "read by the sensor itself", facts.entered_original
    if entered is not None:
        by = "as entered" if entered.sample is None else "by a sample of the wort"
    elif facts.seen.hand is not None:
        by = "by a sample"
    added = any(event.points_of_original for event in facts.batch.events)
    return f"{by}, with what was put in" if added else by


def _gravity_by(facts: SheetFacts) -> str:
    seen = facts.seen
    samples = counted(seen.samples, "hand sample") if seen.samples else ""
    if seen.hand is not None:
        by = "by hand samples alone"
    elif seen.offset_known_by == "the hand sample" and samples:
        by = f"the sensor, mended by {samples}"
    else:
        by = "the sensor, mended by the original gravity" if seen.offset else "the sensor alone"
    doubts = facts.doubts
    open_by = {
        "after a step down": doubts.more > 0.0,
        "after a rise": doubts.risen >= _RISEN_POINTS,
        "under pressure": doubts.less > doubts.risen,
    }
    by = ", ".join([by, *(words for words, stands in open_by.items() if stands)])
    return f"{by}, before the cold" if seen.warm_gravity != seen.gravity else by


def _strength(facts: SheetFacts, units: Units) -> Iterator[Row]:
    figures = facts.figures
    if not figures:
        return
    yield _ranged("alcohol by volume", figures["abv"], lambda value: f"{units.number(value, 1)} %")
    for name in ("apparent attenuation", "real attenuation"):
        yield _ranged(name, figures[name.replace(" ", "_")], lambda value: f"{units.number(100.0 * value, 0)} %")


def _temperatures(facts: SheetFacts, units: Units) -> Iterator[Row]:
    if facts.coldest is not None and facts.warmest is not None:
        yield _temp("coldest", facts.coldest, units)
        yield _temp("warmest", facts.warmest, units)
    elif facts.batch.steady_temperature_c is not None:
        yield Row("steady", units.temp(facts.batch.steady_temperature_c), "as entered")
    if facts.fermented_c is not None:
        yield Row("fermented at", units.temp(facts.fermented_c), "median of the main fall")
    rest = facts.seen.at_rest
    if rest is not None and rest.warmest_c is not None:
        yield _temp("warmest at rest", TempAt(rest.warmest_c, rest.warmest_us), units)


def _temp(label: str, temp: TempAt, units: Units) -> Row:
    return Row(label, units.temp(temp.temp_c), units.day_and_time(temp.at_us))


def _volumes(facts: SheetFacts, units: Units) -> Iterator[Row]:
    batch, day, moved = facts.batch, facts.batch.packaging_day, facts.moved
    if batch.volume_l is not None:
        yield Row("in the vessel", units.amount(batch.volume_l))
    if moved is not None:
        known = {
            "measured": "as measured", "bottles filled": "by the bottles filled",
            "stated losses": "less what stays behind, as entered", "usual losses": "less what usually stays behind",
        }  # fmt: skip
        done = facts.packaged or moved.known_by in ("measured", "bottles filled")
        yield Row("moved" if done else "to be moved", units.amount(moved.volume_l), known[moved.known_by])
    if day.bottles and not day.filled and not facts.packaged:
        yield _to_fill(day.bottles, moved, day.container == "keg", units)
    if day.filled:
        filled_l = sum(lot.count * lot.volume_l for lot in day.filled)
        yield Row("filled", lots_say(day.filled, units), f"{units.amount(filled_l)} in all")


def _to_fill(bottles: tuple[BottleLot, ...], moved: Moved | None, keg: bool, units: Units) -> Row:
    """What the beer fills, or the bottles that there are, where it is not known how much it will be."""
    if moved is None or not moved.volume_l:
        return Row("bottles there", lots_say(bottles, units))
    filling = filling_of(moved, bottles, partly=keg)
    lots = tuple(BottleLot(lot.volume_l, lot.filled) for lot in filling.lots if lot.filled)
    within = "" if filling.fewest == filling.most else f"{filling.fewest} to {filling.most} in all"
    return Row("to fill", lots_say(lots, units) if lots else "none", within, ranged=bool(within))


def _carbonation(facts: SheetFacts, units: Units) -> Iterator[Row]:
    day, held = facts.batch.packaging_day, facts.closed.held
    if day.target_g_l is not None:
        yield Row("target", units.co2(day.target_g_l))
    if held is None and facts.seen.fallen_sealed is not None:
        yield Row("held before priming", "the gauge of its sealed vessel must tell")
    if held is not None and (held.by_pressure or not _falls(facts)):
        by = "at rest at" if facts.rest_us is not None or facts.proved is not None else "by"
        beside = "shut in since it was sealed"
        if not held.by_pressure and held.warmest_c is not None:
            beside = f"{by} {units.temp(held.warmest_c)}"
        yield Row("held before priming", _at_most(units.co2(held.about), units.co2(held.at_most)), beside)
    yield from _priming(facts, units)
    if day.container is not None or day.limit_bar is not None:
        limit = facts.closed.limit
        yield Row("closed in", limit.container.name.replace("-", " "), _bears(limit, units))
    if facts.closed.sealing is not None:
        yield from _in_the_bottle(facts.closed.sealing, units, "by the target" if facts.closed.by_target else "")


def _falls(facts: SheetFacts) -> bool:
    """Whether gas is being made still, for all that is known: what it holds then is soon out of date."""
    if facts.rest_us is not None or facts.proved is not None:
        return False
    verdict = facts.verdict if facts.before is None else facts.before.verdict
    return verdict in ("lag", *FALLS) or (verdict == "unclear" and facts.seen.main_fall)


def _priming(facts: SheetFacts, units: Units) -> Iterator[Row]:
    """What went in is a fact; what is to go in is told of a beer that was proved to have ended, and of no other."""
    day, closed = facts.batch.packaging_day, facts.closed
    sugar = "" if day.sugar is None else f" of {day.sugar.replace('-', ' ')}"
    if day.primed_g is not None:
        yield Row("primed with", f"{units.weight(day.primed_g)}{sugar}", "put in")
    elif day.target_g_l is None or facts.packaged:
        return
    elif facts.proved is None:
        yield Row("priming", "not told before the verdict is ready")
    elif facts.noted.undoes:
        yield Row("priming", "not told, for the proof begins anew with what was noted since")
    elif facts.no_longer is not None:
        yield Row("priming", f"not told, for it is {facts.no_longer.verdict} by now")
    elif closed.target_exceeds or not closed.limit.bears:
        yield Row("priming", "not told, for the target is more than that container bears")
    elif closed.by_gauge:
        yield Row("priming", "not told, for only the sealed vessel's gauge tells what it holds")
    elif closed.to_prime is not None:
        caution = "; at the upper end more than that container bears" * closed.may_exceed
        yield Row("priming", f"{units.weight(closed.to_prime.grams)}{sugar}", f"for the target{caution}")


def _bears(limit: Limit, units: Units) -> str:
    if not limit.bears:
        return "nothing may ferment in it"
    return f"{'bears' if limit.stated else 'taken to bear'} {units.gauge(limit.bar)}{', as stated' * limit.stated}"


def _in_the_bottle(sealing: Sealing, units: Units, by: str) -> Iterator[Row]:
    room = sealing.at_room
    yield Row("in the bottle", _at_most(units.co2(sealing.about_g_l), units.co2(sealing.at_most_g_l)), by)
    bars = (room.at_most_bar, sealing.limit.bar) if room.exceeds else (sealing.limit.bar, room.at_most_bar)
    apart, warmest_c = units.gauge_margin(*bars), sealing.holds_to_c
    if apart == units.gauge(0.0):
        apart = "just"
    margin = f"{apart} {'over' if room.exceeds else 'below'} the limit"
    if warmest_c is not None and not room.exceeds and warmest_c < SEALING_TEMPS_C[-1]:
        margin += f", which it meets {_meets(warmest_c, room.temp_c, units)}"
    yield Row(f"pressure at {units.temp(room.temp_c, 0)}", f"at most {units.gauge(room.at_most_bar)}", margin)


def _meets(warmest_c: float, room_c: float, units: Units) -> str:
    """Where the limit is met, rounded down; finer close above the room, where a whole degree would be the room's."""
    for step in (1.0, 0.5):
        if (at := units.temp_down(warmest_c, step)) != units.temp_down(room_c, step):
            return f"at {at}"
    return f"just above {units.temp(room_c, 0)}"


def _at_most(about: str, at_most: str) -> str:
    return about if about == at_most else f"{about}, at most {at_most}"


def _ranged(label: str, estimate: Estimate, shown: Callable[[float], str], beside: str = "") -> Row:
    value, low, high = (shown(number) for number in estimate)
    if low == high:
        return Row(label, value, beside)
    bare = value_range(low, high.partition(" ")[0])
    return Row(label, f"{value} ({bare})", beside, ranged=True)
