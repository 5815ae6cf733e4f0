"""Each kind of invented batch shows the trait it is named for, in its truth or in its readings."""

from __future__ import annotations

import numpy as np
import pytest

from lullwort.errors import UsageError
from lullwort.records import Reading
from lullwort.rehearsal import FAMILIES, KINDS, SCORED, Family, Invented, batches_toml, csv_text, invent, renamed

SEEDS = range(3)
FAULTY_LOGS = {"repeated and late rows", "sensor clock wrong"}
"""Their readings are not in order of time."""


def fall(invented: Invented, from_h: float, to_h: float) -> float:
    return 1000.0 * (invented.truth.gravity_at(from_h) - invented.truth.gravity_at(to_h))


def event_hour(invented: Invented, kind: str) -> float:
    return next(invented.hour_of(e.at_us) for e in invented.batch.events if e.kind == kind)


@pytest.mark.parametrize("kind", list(KINDS))
@pytest.mark.parametrize("family", FAMILIES)
def test_every_kind_can_be_invented_and_says_what_is_right(kind: str, family: Family) -> None:
    invented = invent(kind, 1, family=family)
    assert (invented.kind, KINDS[kind].name) == (kind, kind)
    assert KINDS[kind].says
    assert KINDS[kind].right_answer
    assert np.all(invented.truth.points_left >= 0.0)
    times = [r.at_us for r in invented.readings]
    assert (times == sorted(times)) is (kind not in FAULTY_LOGS)
    assert len(times) > 100


def test_the_same_seed_makes_the_same_batch_and_another_another() -> None:
    assert invent("plain ale", 4).readings == invent("plain ale", 4).readings
    assert invent("plain ale", 4).readings != invent("plain ale", 5).readings
    with pytest.raises(UsageError, match="kind is 'soup'"):
        invent("soup", 1)


def test_the_newest_reading_of_a_log_out_of_order_need_not_come_last() -> None:
    late = [invent("repeated and late rows", seed) for seed in SEEDS]
    assert all(of.newest_us == sorted(r.at_us for r in of.readings)[-1] for of in late)
    assert any(of.newest_us != of.readings[-1].at_us for of in late)


def test_eighteen_kinds_are_scored_and_all_of_them_are_known() -> None:
    assert len(SCORED) == len(set(SCORED)) == 18
    assert set(SCORED) <= set(KINDS)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_stuck_beer_keeps_points_left_and_is_never_the_oracle_s(seed: int) -> None:
    stuck = invent("stuck warm", seed)
    assert stuck.oracle_hour() is None
    assert stuck.truth.points_left[-1] > 2.0


@pytest.mark.parametrize("seed", SEEDS)
def test_hop_creep_falls_on_after_the_dry_hop_only(seed: int) -> None:
    hopped = invent("hop creep", seed)
    hour = event_hour(hopped, "dry hop")
    assert fall(hopped, hour - 24, hour) < 1.0
    assert fall(hopped, hour, hour + 240) > 2.0
    assert hopped.truth.points_left_at(hour - 1) < hopped.truth.points_left_at(hour + 1)


@pytest.mark.parametrize("seed", SEEDS)
def test_added_sugar_steps_up_and_ferments(seed: int) -> None:
    sugared = invent("sugar or fruit added", seed)
    hour = event_hour(sugared, "addition")
    assert fall(sugared, hour + 1, hour - 1) > 2.0
    assert fall(sugared, hour + 1, float(sugared.truth.hours[-1])) > 2.0


@pytest.mark.parametrize("seed", SEEDS)
def test_a_creeping_fall_goes_on_for_weeks_at_less_than_a_point_a_day(seed: int) -> None:
    creeping = invent("creeping fall", seed)
    assert 0.2 < fall(creeping, 300, 396) < 8.0


@pytest.mark.parametrize("seed", SEEDS)
def test_gaps_are_gaps(seed: int) -> None:
    times = np.array([r.at_us for r in invent("gaps", seed).readings])
    assert np.diff(times).max() > 6 * 3.6e9


@pytest.mark.parametrize("seed", SEEDS)
def test_a_noisy_sensor_is_noisier_than_a_plain_one(seed: int) -> None:
    def roughness(kind: str) -> float:
        readings = [r.gravity for r in invent(kind, seed).readings if r.gravity is not None]
        return float(np.median(np.abs(np.diff(readings))))

    assert roughness("noisy sensor") > roughness("plain ale")


@pytest.mark.parametrize("seed", SEEDS)
def test_outliers_and_garbage_hold_values_that_no_beer_has(seed: int) -> None:
    gravities = [r.gravity for r in invent("outliers and garbage", seed).readings if r.gravity is not None]
    middle = float(np.median(gravities))
    assert max(abs(g - middle) for g in gravities) > 0.05


@pytest.mark.parametrize("seed", SEEDS)
def test_a_pinned_or_frozen_sensor_repeats_itself_for_hours(seed: int) -> None:
    readings = invent("pinned or frozen sensor", seed).readings
    plain = invent("plain ale", seed).readings

    def spread_of_quietest_day(series: list[Reading]) -> float:
        per_hour = max(1, round(3.6e9 / float(np.median(np.diff([r.at_us for r in series])))))
        values = np.array([r.gravity for r in series])[: 24 * 14 * per_hour]
        day = 12 * per_hour
        return min(float(values[i : i + day].std()) for i in range(0, len(values) - day, day))

    assert spread_of_quietest_day(readings) < spread_of_quietest_day(plain)


def test_a_renamed_batch_is_the_same_beer() -> None:
    plain = invent("plain ale", 6)
    north = renamed(plain, "north", "north-12")
    assert {r.vessel for r in north.readings} == {"north"}
    assert (north.batch.name, north.batch.vessel) == ("north-12", "north")
    assert [r.gravity for r in north.readings] == [r.gravity for r in plain.readings]
    assert north.truth is plain.truth


def test_files_are_in_the_published_format() -> None:
    lines = csv_text(invent("hop creep", 2)).splitlines()
    assert lines[0] == "time,vessel,gravity,temperature"
    assert lines[1].count(",") == 3
    assert lines[1].split(",")[0].endswith("Z")
    toml = batches_toml(invent("sugar or fruit added", 2))
    assert toml.startswith("[[batch]]\nvessel = ")
    assert '  kind = "addition"' in toml
    assert "  points = " in toml
