from __future__ import annotations

from collections.abc import Collection

import msgspec
import pytest

from lullwort.alerts import AlertSettings, BatchSeen, SensorSeen, ServiceSeen, conditions, news
from lullwort.alerts.wording import gap
from lullwort.detector import Judged, Units, judge
from lullwort.records import HOUR_US, Alert, Subject, VesselReadings, as_drill
from lullwort.rehearsal import invent, renamed, shifted

NO_SETTINGS = AlertSettings()
FINE = ServiceSeen(now_us=10**15, started_us=10**15, away_us=0, free_bytes=1 << 40)


def on(
    *judged: Judged,
    sensors: Collection[SensorSeen] = (),
    service: ServiceSeen = FINE,
    standing: Collection[Subject] = (),
    settings: AlertSettings = NO_SETTINGS,
) -> dict[Subject, Alert]:
    found = conditions(map(BatchSeen, judged), sensors, service, settings, Units(), standing)
    return {alert.subject: alert for alert in found}


def judged_to_the_end(kind: str) -> Judged:
    invented = invent(kind, 1)
    return judge(invented.batch, VesselReadings.of(invented.readings))


def test_a_finished_beer_is_told_with_what_was_seen_what_to_do_and_the_caution() -> None:
    judged = judged_to_the_end("plain ale")
    (alert,) = on(judged).values()
    assert (alert.kind, alert.about, alert.on, alert.urgent) == ("ready", judged.batch.name, True, True)
    assert "READY TO PACKAGE" in alert.title
    for part in ("held still", "degassed hand reading", "Bottles can burst"):
        assert part in alert.says


def test_the_alert_of_a_drill_says_that_it_is_one() -> None:
    invented = invent("plain ale", 1)
    (alert,) = on(judge(as_drill(invented.batch), VesselReadings.of(invented.readings))).values()
    assert alert.says.startswith("A drill: all its readings are invented. ")
    assert "drill" not in next(iter(on(judged_to_the_end("plain ale")).values())).says


def test_a_stuck_beer_is_told() -> None:
    assert {kind for kind, _ in on(judged_to_the_end("stuck warm"))} == {"stalled"}


def test_points_left_are_told_at_the_chosen_number() -> None:
    judged = judged_to_the_end("plain ale")
    found = on(judged, settings=AlertSettings(points_left=(5.0, 0.01)))
    assert ("points left", f"{judged.batch.name} 5") in found
    assert ("points left", f"{judged.batch.name} 0.01") not in found


@pytest.mark.parametrize(
    ("minutes", "quiet_h", "told"), [(15, 1.9, False), (15, 2.1, True), (60, 2.9, False), (60, 3.1, True)]
)
def test_a_sensor_is_silent_after_three_of_its_intervals_and_two_hours_at_least(
    minutes: int, quiet_h: float, told: bool
) -> None:
    newest_us = 10**15
    seen = SensorSeen("f1", "north", newest_us + int(quiet_h * HOUR_US), newest_us, minutes * 60_000_000)
    assert (("sensor silent", "f1") in on(sensors=[seen])) is told


def test_a_sensor_that_sends_nothing_usable_is_told_with_what_it_sent() -> None:
    seen = SensorSeen("f1", "north", 10**15, 10**15 - 3 * HOUR_US, None, unusable="Since then 9 messages came.")
    (alert,) = on(sensors=[seen]).values()
    assert alert.title == "Sensor f1 in north sends nothing that can be used"
    assert "Since then 9 messages came. Hours that nobody saw prove nothing" in alert.says


def test_a_vessel_from_which_nothing_ever_came_is_told() -> None:
    seen = SensorSeen("north", "north", 10**15, 10**15 - 3 * HOUR_US, None, heard=False)
    (alert,) = on(sensors=[seen]).values()
    assert (alert.kind, alert.title) == ("sensor silent", "Nothing is heard from north")
    assert "whether the settings place it in this vessel" in alert.says


def test_a_clock_of_which_nothing_is_known_yet_stays_as_it_was_told() -> None:
    told = ("sensor clock", "f1")
    assert told not in on(sensors=[SensorSeen("f1", "north", 10**15, 10**15, None, clock_fault=None)])
    assert told in on(sensors=[SensorSeen("f1", "north", 10**15, 10**15, None, clock_fault=None)], standing={told})
    assert told not in on(sensors=[SensorSeen("f1", "north", 10**15, 10**15, None, clock_fault="")], standing={told})


def test_a_low_battery_does_not_flap() -> None:
    def seen(volts: float) -> SensorSeen:
        return SensorSeen("f1", "north", 10**15, 10**15, None, battery_v=volts)

    low = ("battery low", "f1")
    assert low not in on(sensors=[seen(3.45)])
    assert low in on(sensors=[seen(3.35)])
    assert low in on(sensors=[seen(3.45)], standing={low})
    assert low not in on(sensors=[seen(3.6)], standing={low})


def test_the_service_tells_of_a_gap_and_of_a_full_disk() -> None:
    found = on(service=FINE._replace(away_us=5 * HOUR_US, free_bytes=50 << 20))
    assert {kind for kind, _ in found} == {"gap in the service", "storage nearly full"}
    assert found["storage nearly full", ""].urgent


def test_news_tells_each_change_once() -> None:
    judged = judged_to_the_end("plain ale")
    name = judged.batch.name
    now = list(on(judged).values())
    first = news(now, {}, {name}, 5)
    assert first == now
    standing = {alert.subject: alert for alert in first}
    assert news(now, standing, {name}, 6) == []
    (withdrawn,) = news([], standing, {name}, 7)
    assert (withdrawn.on, withdrawn.urgent, withdrawn.at_us) == (False, True, 7)
    assert "READY IS WITHDRAWN" in withdrawn.title
    assert "closed in and away from people" in withdrawn.says
    assert news([], {withdrawn.subject: withdrawn}, {name}, 8) == []
    assert news(now, {withdrawn.subject: withdrawn}, {name}, 9) == now


def test_of_what_was_not_looked_at_nothing_is_over() -> None:
    judged = judged_to_the_end("plain ale")
    assert news([], on(judged), {"other"}, 7) == []


def test_a_stalled_beer_that_is_ready_is_told_in_one_word() -> None:
    judged = judged_to_the_end("stuck warm")
    name = judged.batch.name
    stalled = on(judged)
    ready = Alert(kind="ready", about=name, on=True, at_us=1, batch=name, title="READY", says="")
    assert [alert.kind for alert in news([ready], stalled, {name}, 7)] == ["ready"]
    (over,) = news([], stalled, {name}, 7)
    assert over.title == f"{name} is stalled no longer"


def test_another_batch_in_the_log_is_told_beside_the_withdrawn_ready_and_once() -> None:
    first, second = invent("plain ale", 1), invent("plain ale", 101)
    begins_us = max(r.at_us for r in first.readings) // HOUR_US * HOUR_US + HOUR_US
    later = shifted(renamed(second, first.batch.vessel, "later"), begins_us - second.batch.pitched_us)
    readings = VesselReadings.of(first.readings + later.readings)
    name = first.batch.name
    standing: dict[Subject, Alert] = {}
    told = []
    for hour in range(0, 60, 2):
        at_us = begins_us + hour * HOUR_US
        judged = judge(first.batch, readings, as_of_us=at_us)
        for alert in news(list(on(judged, standing=standing).values()), standing, {name}, at_us):
            told.append((alert.kind, alert.on, alert.urgent))
            standing[alert.subject] = alert
    assert told == [("ready", True, True), ("ready", False, True), ("another batch", True, False)]
    alert = standing["another batch", name]
    assert alert.title == f"Another batch seems to have begun in {first.batch.vessel}"
    for part in ("at least 1.0", "nothing is split unless you do it", "lullwort batch open", "Do not package"):
        assert part in alert.says
    closed = msgspec.structs.replace(first.batch, packaged_us=begins_us)
    assert on(judge(closed, readings), standing=standing) == {}


@pytest.mark.parametrize(
    ("hours", "says"), [(5, "away for 5 hours,"), (47, "away for 47 hours,"), (60, "away for 2,5 days,")]
)
def test_what_lasts_two_days_or_more_is_told_in_days(hours: int, says: str) -> None:
    assert says in gap(10**15, hours * HOUR_US, Units(zone="UTC", decimal="comma")).says
