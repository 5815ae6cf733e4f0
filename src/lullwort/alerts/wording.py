"""Alerts in words: what was seen, what it means, what to do, with the caution where it applies."""

from __future__ import annotations

from typing import Any

import msgspec

from lullwort.detector import Judged, Split, Units, advice, if_sealed, reason, still_to_fall
from lullwort.records import HOUR_US, Alert, format_utc, is_drill

__all__ = [
    "another_batch",
    "battery_low",
    "clock_set",
    "digest",
    "gap",
    "not_believable",
    "over",
    "points_left",
    "ready",
    "silent",
    "stalled",
    "storage",
    "too_cold",
    "too_warm",
    "trial",
    "unheard",
    "wrong_clock",
]


def ready(judged: Judged, units: Units) -> Alert:
    """It may be packaged."""
    return _of_batch("ready", judged, units, f"READY TO PACKAGE: {judged.batch.name}", urgent=True)


def stalled(judged: Judged, units: Units) -> Alert:
    """It stopped too high."""
    return _of_batch("stalled", judged, units, f"{judged.batch.name} has stalled")


def too_cold(judged: Judged, units: Units) -> Alert:
    """The yeast sleeps."""
    return _of_batch("too cold", judged, units, f"{judged.batch.name} is too cold for its yeast")


def too_warm(judged: Judged, limit_c: float, units: Units) -> Alert:
    """Warmer than the brewer said this yeast works."""
    temp_c = judged.now.temp_c or 0.0
    says = (
        f"The beer is at {units.temp(temp_c)}; this yeast was said to work up to {units.temp(limit_c)}. "
        "Too warm a fermentation tastes of solvent and may stop early. Cool it gently, by "
        f"{units.temp_differences(2.0, 3.0)} a day."
    )
    title = f"{judged.batch.name} is too warm for its yeast"
    return _alert("too warm", judged, title, says, {"temperature_c": temp_c, "limit_c": limit_c})


def not_believable(judged: Judged, units: Units) -> Alert:
    """The sensor says what beer does not do."""
    title = f"The sensor in {judged.batch.vessel} cannot be believed"
    says = f"{reason('unclear', judged.now, units)} {advice('unclear', judged.now, units)}"
    return _alert("sensor not believable", judged, title, says, {})


def another_batch(judged: Judged, split: Split, units: Units) -> Alert:
    """Another batch seems to have begun, which nobody entered."""
    title = f"Another batch seems to have begun in {split.vessel}"
    says = f"{reason('unclear', judged.now, units)} {advice('unclear', judged.now, units)}"
    data = {"earlier_until": format_utc(split.last_us), "later_from": format_utc(split.began_us)}
    return _alert("another batch", judged, title, says, data)


def points_left(judged: Judged, points: float, units: Units) -> Alert:
    """Little is left to fall."""
    left = if_sealed(judged.now)
    says = (
        f"{still_to_fall(left.about, left.at_most, units)}. "
        "Nothing need be done, unless something is planned for this moment, such as a rest or hops."
    )
    title = f"{judged.batch.name}: {units.short(points)} points left"
    alert = _alert("points left", judged, title, says, {"left": round(left.about, 2), "upper": round(left.at_most, 2)})
    return _about(alert, f"{judged.batch.name} {points:g}")


def silent(sensor: str, vessel: str, newest_us: int, quiet_us: int, unusable: str, units: Units) -> Alert:
    """A sensor is not heard, or what it sends is no reading."""
    see_to = "what it sends, and the form that it is read by" if unusable else "its battery, its place and its link"
    says = (
        f"No reading of it came for {_span(quiet_us, units)}; the last is of {units.moment(newest_us)}. "
        f"{_then(unusable)}Hours that nobody saw prove nothing, so the verdict waits. See to {see_to}; a hand reading "
        "tells meanwhile."
    )
    what = "sends nothing that can be used" if unusable else "is silent"
    return _silent(sensor, vessel, newest_us, quiet_us, f"Sensor {sensor} in {vessel} {what}", says)


def unheard(sensor: str, vessel: str, since_us: int, quiet_us: int, unusable: str, units: Units) -> Alert:
    """Of a vessel with a batch in it there is no reading at all."""
    says = (
        f"A batch is in {vessel}, and no reading has come from there since {units.moment(since_us)}. {_then(unusable)}"
        "If a sensor floats there, see to its battery and its link, and whether the settings place it in this vessel. "
        "If none does, hand readings tell."
    )
    return _silent(sensor, vessel, since_us, quiet_us, f"Nothing is heard from {vessel}", says)


def _then(words: str) -> str:
    return f"{words} " if words else ""


def _silent(sensor: str, vessel: str, at_us: int, quiet_us: int, title: str, says: str) -> Alert:
    return Alert(
        kind="sensor silent", about=sensor, on=True, at_us=at_us, vessel=vessel, sensor=sensor, title=title, says=says,
        data={"quiet_h": round(quiet_us / HOUR_US, 1)},
    )  # fmt: skip


def battery_low(sensor: str, vessel: str, value: float, unit: str, at_us: int, units: Units) -> Alert:
    """A battery goes flat."""
    shows = f"It shows {units.short(value)} {unit}."
    says = f"{shows} Change or charge it when the vessel is open anyway, with clean hands and tools."
    return Alert(
        kind="battery low", about=sensor, on=True, at_us=at_us, vessel=vessel, sensor=sensor,
        title=f"The battery of sensor {sensor} is low", says=says, data={"battery": value, "unit": unit},
    )  # fmt: skip


def wrong_clock(sensor: str, vessel: str, fault: str, at_us: int) -> Alert:
    """A sensor's clock is wrong."""
    says = (
        f"{fault} Readings at wrong times spoil the proof. Set the sensor's clock, or have its readings taken at the "
        "time of arrival: clock = 'arrival' in its form."
    )
    return Alert(
        kind="sensor clock", about=sensor, on=True, at_us=at_us, vessel=vessel, sensor=sensor,
        title=f"The clock of sensor {sensor} is wrong", says=says,
    )  # fmt: skip


def clock_set(by_us: int, now_us: int, units: Units) -> Alert:
    """The clock of the machine was set."""
    says = (
        f"It was set {'forward' if by_us > 0 else 'back'} by {_span(abs(by_us), units)} and shows "
        f"{units.moment(now_us)} now. If that is right, nothing need be done; if not, set it and have it kept by the "
        "network. Readings that were "
        "given the time of their arrival before are dated wrongly by as much; those with a time of their own are not."
    )
    return Alert(
        kind="clock set", about=f"{now_us}", on=True, at_us=now_us, title="The clock of Lullwort's machine was set",
        says=says, data={"set_by_s": by_us // 1_000_000},
    )  # fmt: skip


def gap(started_us: int, away_us: int, units: Units) -> Alert:
    """The service was away."""
    says = (
        f"The service was away for {_span(away_us, units)}, up to {units.moment(started_us)}. What sensors sent "
        "meanwhile is taken up where the broker kept it, and dated at its arrival where it bears no time of its own. "
        "Hours that "
        "nobody saw prove nothing."
    )
    return Alert(
        kind="gap in the service", about=f"{started_us}", on=True, at_us=started_us,
        title="Lullwort is back after a gap",
        says=says, data={"away_h": round(away_us / HOUR_US, 1)},
    )  # fmt: skip


def storage(now_us: int, free_bytes: int) -> Alert:
    """The disk is nearly full."""
    says = (
        f"{free_bytes >> 20} MiB are free where the cellar book lies. When none are left nothing can be stored: "
        "messages then wait at the broker. Make room."
    )
    return Alert(
        kind="storage nearly full", about="", on=True, at_us=now_us, urgent=True, title="The disk is nearly full",
        says=says, data={"free_mib": free_bytes >> 20},
    )  # fmt: skip


def trial(now_us: int) -> Alert:
    """A trial of the way that alerts take."""
    return Alert(
        kind="test", about="", on=True, at_us=now_us, urgent=True, title="Lullwort: a test alert",
        says="This is a test. Alerts reach you this way.",
    )  # fmt: skip


def digest(now_us: int, lines: list[str], standing: list[str], nothing_before: str) -> Alert:
    """What is sent once a day whether anything is wrong or not.

    Args: standing: titles of what was told and still holds.  nothing_before: until when all else may be left alone.
    """
    if standing:
        lines = [*lines, "Still so, and waiting for you:", *standing]
    else:
        lines = [*lines, f"Nothing needed before {nothing_before}."]
    return Alert(
        kind="digest", about="", on=True, at_us=now_us, title="Lullwort: the cellar today", says="\n".join(lines)
    )


def over(alert: Alert) -> dict[str, Any]:
    """Title, words and urgency of the end of a condition."""
    who = alert.batch or alert.sensor
    match alert.kind:
        case "ready":
            title = f"READY IS WITHDRAWN: {who}"
            says = (
                "It was told before, and is true no longer: the beer or the readings have moved. Do not package. If "
                "bottles are filled already, keep them cold, closed in and away from people, and handle them only "
                "with eyes and hands covered. `lullwort verdict` says what was seen."
            )
        case "stalled":
            title = f"{who} is stalled no longer"
            says = "It moves again, or what was entered of it has changed. Wait, and leave the vessel closed."
        case "sensor silent":
            title, says = f"Sensor {who} is heard again", "Nothing need be done."
        case _:
            title, says = f"Over: {alert.title}", "Nothing need be done."
    return {"title": title, "says": says, "urgent": alert.kind == "ready", "data": {}}


def _of_batch(kind: str, judged: Judged, units: Units, title: str, *, urgent: bool = False) -> Alert:
    now, left = judged.now, if_sealed(judged.now)
    says = f"{reason(judged.verdict, now, units)} {advice(judged.verdict, now, units, proved=judged.proved)}"
    gravity = None if now.gravity is None else round(1.0 + now.gravity / 1000.0, 5)
    data: dict[str, str | float | int | None] = {
        "verdict": judged.verdict, "gravity": gravity, "points_left": round(left.about, 2),
        "points_left_upper": round(left.at_most, 2),
    }  # fmt: skip
    return _alert(kind, judged, title, says, data, urgent=urgent)


def _alert(kind: Any, judged: Judged, title: str, says: str, data: dict[str, Any], *, urgent: bool = False) -> Alert:
    at_us = judged.history[-1].at_us if judged.history else judged.as_of_us
    batch = judged.batch
    if is_drill(batch):
        says = f"A drill: all its readings are invented. {says}"
    return Alert(
        kind=kind, about=batch.name, on=True, at_us=at_us, vessel=batch.vessel, batch=batch.name, urgent=urgent,
        title=title, says=says, data=data,
    )  # fmt: skip


def _about(alert: Alert, about: str) -> Alert:
    return msgspec.structs.replace(alert, about=about)


def _span(us: int, units: Units) -> str:
    hours = us / HOUR_US
    if hours < 2:
        return f"{60 * hours:.0f} minutes"
    return f"{hours:.0f} hours" if round(hours) < 48 else units.hours(hours)
