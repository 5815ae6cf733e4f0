"""Kinds of batch whose difficulty lies in the beer: slow, cold, stuck, disturbed or infected."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from lullwort.rehearsal.beer import Pause
from lullwort.rehearsal.drawing import Rng, draw_ale, draw_cellar, either_sign
from lullwort.rehearsal.later_fall import LaterFall
from lullwort.rehearsal.plan import Done, Plan
from lullwort.rehearsal.sensor import Debris

__all__ = [
    "cold_crash_after_the_end",
    "cold_lager",
    "cold_stall",
    "creep_while_cold",
    "creeping_fall",
    "fast_ale",
    "hop_creep",
    "lager_with_warm_rest",
    "late_cold_stall",
    "late_intruder",
    "long_hop_creep",
    "long_lag",
    "pause_and_resume",
    "poorly_fermentable",
    "slow_tail",
    "strong_ale",
    "stuck_warm",
    "sugar_or_fruit_added",
    "very_slow_creep",
]


def fast_ale(rng: Rng) -> Plan:
    """Most of it gone in two days."""
    plan = draw_ale(rng)
    beer = replace(
        plan.beer,
        lag_h=rng.uniform(4.0, 10.0),
        middle_h=24.0 * rng.uniform(0.8, 1.2),
        steepness_per_h=rng.uniform(3.2, 4.5) / 24.0,
        tail_points=rng.uniform(0.7, 1.5),
        tail_tau_h=24.0 * rng.uniform(0.5, 0.9),
    )
    return replace(plan, beer=beer)


def slow_tail(rng: Rng) -> Plan:
    """An ale whose last points take a fortnight."""
    plan = draw_ale(rng)
    beer = replace(plan.beer, tail_points=rng.uniform(4.0, 7.0), tail_tau_h=24.0 * rng.uniform(3.0, 5.5))
    return replace(plan, beer=beer, days=rng.uniform(25.0, 32.0))


def strong_ale(rng: Rng) -> Plan:
    """Much sugar, tired yeast, a tail of weeks."""
    plan = draw_ale(rng)
    original = rng.uniform(80.0, 100.0)
    beer = replace(
        plan.beer,
        original_points=original,
        end_points=original * (1.0 - rng.uniform(0.73, 0.8)),
        lag_h=rng.uniform(12.0, 30.0),
        middle_h=24.0 * rng.uniform(3.0, 4.0),
        steepness_per_h=rng.uniform(1.0, 1.4) / 24.0,
        tail_points=rng.uniform(6.0, 9.0),
        tail_tau_h=24.0 * rng.uniform(5.0, 8.0),
    )
    return replace(plan, beer=beer, days=rng.uniform(40.0, 50.0))


def cold_lager(rng: Rng) -> Plan:
    """Cold to the end, the last sugars slowest."""
    plan = draw_ale(rng)
    original = rng.uniform(44.0, 54.0)
    usual_c = rng.uniform(9.0, 11.5)
    beer = replace(
        plan.beer,
        original_points=original,
        end_points=original * (1.0 - rng.uniform(0.75, 0.82)),
        lag_h=rng.uniform(18.0, 36.0),
        middle_h=24.0 * rng.uniform(4.0, 5.5),
        steepness_per_h=rng.uniform(0.7, 1.0) / 24.0,
        tail_points=rng.uniform(5.0, 7.0),
        tail_tau_h=24.0 * rng.uniform(4.0, 6.5),
        usual_c=usual_c,
        yeast_min_c=rng.uniform(3.0, 5.0),
    )
    return replace(plan, beer=beer, cellar=draw_cellar(rng, (0.0, usual_c)), days=rng.uniform(34.0, 44.0))


def lager_with_warm_rest(rng: Rng) -> Plan:
    """A lager warmed to 16 to 18.5 °C when most is gone."""
    plan = cold_lager(rng)
    usual_c, warm_h = plan.beer.usual_c, 24.0 * rng.uniform(7.0, 9.5)
    rest = (warm_h + rng.uniform(12.0, 36.0), rng.uniform(16.0, 18.5))
    cellar = draw_cellar(rng, (0.0, usual_c), (warm_h, usual_c), rest)
    return replace(plan, cellar=cellar, done=(Done(warm_h, "warm"),), days=rng.uniform(24.0, 32.0))


def stuck_warm(rng: Rng) -> Plan:
    """Warm, flat, and 8.5 to 15 points above where this yeast should have come."""
    plan = draw_ale(rng)
    original = rng.uniform(52.0, 66.0)
    beer = replace(
        plan.beer,
        original_points=original,
        end_points=original * (1.0 - rng.uniform(0.74, 0.8)),
        stuck_points=rng.uniform(8.5, 15.0),
    )
    return replace(plan, beer=beer, days=rng.uniform(20.0, 28.0))


def cold_stall(rng: Rng) -> Plan:
    """The heating fails in the middle of the fall; days later it works again."""
    plan = draw_ale(rng)
    beer = replace(plan.beer, yeast_min_c=rng.uniform(14.5, 16.0))
    fails_h = beer.lag_h + beer.middle_h - rng.uniform(0.0, 12.0)
    warms_h = fails_h + 24.0 * rng.uniform(4.0, 7.0)
    cold_c = beer.yeast_min_c - rng.uniform(1.5, 3.0)
    cellar = draw_cellar(
        rng,
        (0.0, beer.usual_c),
        (fails_h, beer.usual_c),
        (fails_h + 6.0, cold_c),
        (warms_h, cold_c),
        (warms_h + rng.uniform(8.0, 20.0), beer.usual_c),
    )
    # a wide swing would warm the yeast above its minimum every afternoon
    cellar = replace(cellar, swing_c=min(cellar.swing_c, 0.5), wander_c=0.2)
    done = (Done(warms_h, "warm"),)
    return replace(plan, beer=beer, cellar=cellar, done=done, days=rng.uniform(24.0, 30.0))


def late_cold_stall(rng: Rng) -> Plan:
    """The same with 5 to 10 points left: cooled over half a day, and so near the end that flat looks like done."""
    plan = draw_ale(rng)
    usual_c, yeast_min_c = plan.beer.usual_c, rng.uniform(15.0, 16.0)
    fails_h = plan.beer.lag_h + plan.beer.middle_h + rng.uniform(6.0, 12.0)
    warms_h = fails_h + 24.0 * rng.uniform(5.0, 6.5)
    cold_c = yeast_min_c - rng.uniform(2.0, 3.0)
    knots = ((fails_h, usual_c), (fails_h + 12.0, cold_c), (warms_h, cold_c), (warms_h + 12.0, usual_c))
    cellar = replace(draw_cellar(rng, (0.0, usual_c), *knots), swing_c=0.3, wander_c=0.2)
    beer = replace(plan.beer, yeast_min_c=yeast_min_c)
    return replace(plan, beer=beer, cellar=cellar, done=(Done(warms_h, "warm"),), days=rng.uniform(22.0, 28.0))


def pause_and_resume(rng: Rng) -> Plan:
    """A yeast that rests for days half-way and then goes lower than most."""
    plan = draw_ale(rng)
    usual_c = rng.uniform(22.0, 25.0)
    beer = replace(
        plan.beer,
        original_points=rng.uniform(56.0, 64.0),
        end_points=rng.uniform(3.0, 7.0),
        usual_c=usual_c,
        pause=Pause(
            level_points=rng.uniform(26.0, 34.0),
            rest_h=24.0 * rng.uniform(4.0, 8.0),
            points_per_day=rng.uniform(2.0, 3.5),
        ),
    )
    return replace(plan, beer=beer, cellar=draw_cellar(rng, (0.0, usual_c)), days=rng.uniform(32.0, 38.0))


def hop_creep(rng: Rng) -> Plan:
    """Dry hops near the end free sugar from dextrin; a raft of them lies on the sensor."""
    plan = draw_ale(rng)
    hops_h = 24.0 * rng.uniform(6.5, 11.0)
    creep = LaterFall(
        kind="hop creep",
        at_h=hops_h,
        points=rng.uniform(3.0, 7.0),
        delay_h=rng.uniform(8.0, 36.0),
        tau_h=rng.uniform(28.0, 60.0),
    )
    raft = Debris(hops_h, rng.uniform(2.0, 5.0), rng.uniform(12.0, 30.0), rng.uniform(0.5, 2.0))
    return replace(
        plan,
        beer=replace(plan.beer, later=(creep,)),
        sensor=replace(plan.sensor, debris=(raft,)),
        done=(Done(hops_h, "dry hop"),),
        days=rng.uniform(26.0, 32.0),
    )


def long_hop_creep(rng: Rng) -> Plan:
    """Hops that free 4 to 5 points within days and, more slowly, 2 more over weeks."""
    plan = hop_creep(rng)
    (first,) = plan.beer.later
    soon = replace(first, points=rng.uniform(4.0, 5.0), tau_h=rng.uniform(30.0, 50.0))
    slowly = replace(first, points=rng.uniform(1.5, 2.5), tau_h=24.0 * rng.uniform(5.0, 7.0))
    return replace(plan, beer=replace(plan.beer, later=(soon, slowly)), days=rng.uniform(36.0, 44.0))


def sugar_or_fruit_added(rng: Rng) -> Plan:
    """5 to 12 points more to ferment, unevenly mixed in for half a day."""
    plan = draw_ale(rng)
    added_h = 24.0 * rng.uniform(5.0, 10.0)
    points = float(np.round(rng.uniform(5.0, 12.0)))
    fermentable = points * rng.uniform(0.85, 1.0)
    sugar = LaterFall(
        kind="addition",
        at_h=added_h,
        points=fermentable,
        delay_h=rng.uniform(4.0, 24.0),
        tau_h=rng.uniform(14.0, 36.0),
        unfermentable_points=points - fermentable,
    )
    raft = Debris(added_h, rng.uniform(-4.0, 1.0), rng.uniform(6.0, 18.0), rng.uniform(0.5, 2.0))
    return replace(
        plan,
        beer=replace(plan.beer, later=(sugar,)),
        sensor=replace(plan.sensor, debris=(raft,)),
        done=(Done(added_h, "addition", points),),
        days=rng.uniform(22.0, 28.0),
        added_end_points=points - fermentable,
    )


def creeping_fall(rng: Rng) -> Plan:
    """Wild yeast takes over as the ale ends: the beer falls on by 0.3 to 0.9 points a day."""
    return _creeping(rng, 0.3, 0.9)


def very_slow_creep(rng: Rng) -> Plan:
    """The same at 0.1 to 0.3 points a day, which hides in the drift of a float."""
    return _creeping(rng, 0.1, 0.3)


def late_intruder(rng: Rng) -> Plan:
    """Wild yeast comes in days after the true end and takes 0.2 to 0.8 points a day."""
    plan = draw_ale(rng)
    points = plan.beer.end_points - rng.uniform(2.0, 4.0)
    wild = LaterFall(
        kind="intruder",
        at_h=24.0 * rng.uniform(12.0, 15.0),
        points=points,
        delay_h=12.0,
        tau_h=24.0 * points / rng.uniform(0.2, 0.8),
    )
    return replace(plan, beer=replace(plan.beer, later=(wild,)), days=rng.uniform(36.0, 44.0))


def cold_crash_after_the_end(rng: Rng) -> Plan:
    """Chilled when done; the sensor's error with temperature looks like gravity."""
    plan = draw_ale(rng)
    usual_c, crash_h = plan.beer.usual_c, 24.0 * rng.uniform(15.0, 17.0)
    chilled = (crash_h + 24.0, rng.uniform(2.0, 4.0))
    return replace(
        plan,
        cellar=draw_cellar(rng, (0.0, usual_c), (crash_h, usual_c), chilled),
        sensor=replace(plan.sensor, points_per_c=either_sign(rng, 0.3, 0.8)),
        done=(Done(crash_h, "crash"),),
        days=rng.uniform(20.0, 24.0),
    )


def creep_while_cold(rng: Rng) -> Plan:
    """Dry hops, then chilled two days later: the creep sleeps in the bottle to come, and a cold sensor reads high."""
    plan = hop_creep(rng)
    usual_c, crash_h = plan.beer.usual_c, plan.done[0].at_h + 48.0
    cellar = draw_cellar(rng, (0.0, usual_c), (crash_h, usual_c), (crash_h + 24.0, rng.uniform(2.0, 4.0)))
    sensor = replace(plan.sensor, points_per_c=-rng.uniform(0.3, 0.5))
    done = (*plan.done, Done(crash_h, "crash"))
    return replace(plan, cellar=cellar, sensor=sensor, done=done, days=rng.uniform(20.0, 24.0))


def long_lag(rng: Rng) -> Plan:
    """Two or three days in which nothing happens, in a cool cellar or a warm one."""
    plan = draw_ale(rng)
    usual_c = rng.uniform(14.0, 20.0)
    beer = replace(plan.beer, lag_h=rng.uniform(48.0, 72.0), usual_c=usual_c, yeast_min_c=rng.uniform(10.0, 11.5))
    return replace(plan, beer=beer, cellar=draw_cellar(rng, (0.0, usual_c)))


def poorly_fermentable(rng: Rng) -> Plan:
    """Ends at 55 to 60 % attenuation and is done; the brewer expects more, but made a forced test."""
    plan = draw_ale(rng)
    beer = replace(plan.beer, end_points=plan.beer.original_points * (1.0 - rng.uniform(0.55, 0.6)))
    return replace(plan, beer=beer, yeast_attenuation=0.75, forced_test=True)


def _creeping(rng: Rng, slowest: float, fastest: float) -> Plan:
    plan = draw_ale(rng)
    per_day = float(np.exp(rng.uniform(np.log(slowest), np.log(fastest))))
    points = plan.beer.end_points + rng.uniform(-3.0, 1.0)
    onset_h = plan.beer.lag_h + plan.beer.middle_h + 24.0 * rng.uniform(0.5, 2.5)
    wild = LaterFall(kind="intruder", at_h=0.0, points=points, delay_h=onset_h, tau_h=24.0 * points / per_day)
    return replace(plan, beer=replace(plan.beer, later=(wild,)), days=rng.uniform(26.0, 34.0))
