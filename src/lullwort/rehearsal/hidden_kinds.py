"""Kinds of batch in which the sensor hides what the beer does, each at the moment that counts."""

from __future__ import annotations

from dataclasses import replace

from lullwort.rehearsal.beer_kinds import lager_with_warm_rest, stuck_warm
from lullwort.rehearsal.drawing import Rng, draw_ale, either_sign
from lullwort.rehearsal.later_fall import LaterFall
from lullwort.rehearsal.plan import Done, Plan
from lullwort.rehearsal.sensor import Debris, Hold
from lullwort.rehearsal.sensor_kinds import resting_late

__all__ = [
    "creep_beside_drift",
    "frozen_in_the_fall",
    "fruit_raft",
    "long_silence",
    "stuck_under_a_raft",
    "stuck_with_a_late_start",
    "warm_rest_misread",
]


def warm_rest_misread(rng: Rng) -> Plan:
    """A lager's warm rest, watched by a sensor that is out by 0.25 to 0.4 points for each °C."""
    plan = lager_with_warm_rest(rng)
    return replace(plan, sensor=replace(plan.sensor, points_per_c=either_sign(rng, 0.25, 0.4)))


def creep_beside_drift(rng: Rng) -> Plan:
    """From about day ten on wild yeast takes 0.1 to 0.15 points a day, and the sensor drifts by nearly as much."""
    plan = draw_ale(rng)
    per_day = rng.uniform(0.1, 0.15)
    points = plan.beer.end_points - rng.uniform(0.0, 2.0)
    wild = LaterFall(
        kind="intruder", at_h=24.0 * rng.uniform(9.0, 11.0), points=points, delay_h=0.0, tau_h=24.0 * points / per_day
    )
    drift = either_sign(rng, 0.08, 0.12)
    return replace(
        plan,
        beer=replace(plan.beer, later=(wild,)),
        sensor=replace(plan.sensor, drift_points_per_day=drift),
        days=rng.uniform(28.0, 34.0),
    )


def fruit_raft(rng: Rng) -> Plan:
    """7 to 9 points of fruit, of which a noisy raft lets a third be seen; gone over a week."""
    plan = draw_ale(rng)
    added_h = 24.0 * rng.uniform(8.5, 11.0)
    points = rng.uniform(7.0, 9.0)
    fruit = LaterFall(
        kind="addition", at_h=added_h, points=points, delay_h=rng.uniform(4.0, 12.0), tau_h=rng.uniform(28.0, 40.0)
    )
    raft = Debris(added_h, -0.65 * points, rng.uniform(12.0, 24.0), 2.0)
    return replace(
        plan,
        beer=replace(plan.beer, later=(fruit,)),
        sensor=replace(plan.sensor, debris=(raft,)),
        done=(Done(added_h, "addition", points),),
        days=rng.uniform(26.0, 32.0),
    )


def stuck_under_a_raft(rng: Rng) -> Plan:
    """Stuck, and hopped while it stands: a raft lifts the float by 4 to 9 points for a day or two."""
    plan = stuck_warm(rng)
    hops_h = 24.0 * rng.uniform(7.0, 10.0)
    raft = Debris(hops_h, rng.uniform(4.0, 9.0), rng.uniform(12.0, 48.0), rng.uniform(0.2, 1.0))
    noted = (Done(hops_h, "dry hop"),) if rng.random() < 0.5 else ()
    return replace(plan, sensor=replace(plan.sensor, debris=(raft,)), done=noted)


def stuck_with_a_late_start(rng: Rng) -> Plan:
    """Stuck, and watched by a float that came to rest late."""
    plan = stuck_warm(rng)
    return replace(plan, sensor=resting_late(plan.sensor, rng))


def long_silence(rng: Rng) -> Plan:
    """Silent for three to four days from the late fall on, and for twenty hours in the proof after it."""
    plan = draw_ale(rng)
    silent_h = plan.beer.lag_h + plan.beer.middle_h + rng.uniform(0.0, 16.0)
    heard_h = silent_h + rng.uniform(72.0, 96.0)
    again_h = heard_h + rng.uniform(30.0, 60.0)
    return replace(plan, sensor=replace(plan.sensor, gaps=((silent_h, heard_h), (again_h, again_h + 20.0))))


def frozen_in_the_fall(rng: Rng) -> Plan:
    """Gravity and temperature repeat themselves for some sixty hours while half of the fall is still to come."""
    plan = draw_ale(rng)
    from_h = plan.beer.lag_h + plan.beer.middle_h + rng.uniform(-8.0, 8.0)
    held = Hold(from_h, from_h + rng.uniform(54.0, 66.0), frozen=True)
    # what repeats a row repeats it without wild ones between
    return replace(plan, sensor=replace(plan.sensor, holds=(held,), outlier_share=0.0))
