"""Kinds of batch whose difficulty lies in the log: its order, its dates, its units, or a second batch in it."""

from __future__ import annotations

from dataclasses import replace

from lullwort.rehearsal.beer_kinds import fast_ale
from lullwort.rehearsal.delivery import Delivery, HeldBack, WrongClock
from lullwort.rehearsal.drawing import Rng, draw_ale, draw_cellar, either_sign
from lullwort.rehearsal.logform import LogForm
from lullwort.rehearsal.plan import Plan, Refill

__all__ = ["dates_that_fit_twice", "repeated_and_late_rows", "sensor_clock_wrong", "two_batches_in_one_log"]


def repeated_and_late_rows(rng: Rng) -> Plan:
    """Readings up to three times over, and stretches of hours that come hours or days late."""
    plan = draw_ale(rng)
    late = []
    for _ in range(int(rng.integers(3, 8))):
        from_h = 24.0 * rng.uniform(0.5, 14.0)
        late.append(HeldBack(from_h, from_h + rng.uniform(1.0, 12.0), float(rng.choice([2.5, 9.0, 30.0, 100.0]))))
    return replace(plan, delivery=Delivery(held_back=tuple(late), repeated_share=rng.uniform(0.3, 1.0)))


def sensor_clock_wrong(rng: Rng) -> Plan:
    """A clock that shows a wrong year until it is set, and then jumps by whole hours for a while or for good."""
    plan = draw_ale(rng)
    set_h = rng.uniform(3.0, 30.0)
    years = float(rng.choice([-1.0, -6.0, -26.0]))
    jumps_h = 24.0 * rng.uniform(2.0, 8.0)
    until_h = jumps_h + 24.0 * rng.uniform(0.5, 3.0) if rng.random() < 0.7 else 24.0 * plan.days
    ahead_h = round(either_sign(rng, 1.0, 9.0))
    clocks = (WrongClock(0.0, set_h, years * 365.0 * 24.0), WrongClock(jumps_h, until_h, ahead_h))
    return replace(plan, delivery=Delivery(clocks=clocks))


def two_batches_in_one_log(rng: Rng) -> Plan:
    """The vessel is emptied and filled with a stronger wort one to three days later; only the first is entered."""
    plan = draw_ale(rng)
    second = draw_ale(rng)
    stronger = replace(second.beer, original_points=second.beer.original_points + 8.0)
    days = rng.uniform(5.0, 16.0)
    return replace(plan, refill=Refill(int(rng.integers(24, 73)), replace(second, beer=stronger, days=days)))


def dates_that_fit_twice(rng: Rng) -> Plan:
    """A fast ale from the first of a month to the eleventh, in a log that tells neither zone nor units."""
    plan = fast_ale(rng)
    usual_c = rng.uniform(21.0, 23.0)
    form = LogForm(
        order="dmy" if rng.random() < 0.5 else "mdy",
        decimal_comma=bool(rng.random() < 0.7),
        gravity="plato" if rng.random() < 0.5 else "sg",
        temperature="F" if rng.random() < 0.5 else "C",
    )
    return replace(
        plan,
        beer=replace(plan.beer, usual_c=usual_c),
        cellar=draw_cellar(rng, (0.0, usual_c)),
        # a wild value need not exist in °P
        sensor=replace(plan.sensor, outlier_share=0.0),
        days=10.5,
        log_form=form,
    )
