"""An alert's subject and key: what makes two of them one."""

from __future__ import annotations

import msgspec
import pytest

from lullwort.records import ALERT_KINDS, Alert

ALERT = Alert(kind="too cold", about="north-12", on=True, at_us=7, title="Too cold", says="14 °C in north.")


@pytest.mark.parametrize(
    "change", [{"kind": "too warm"}, {"about": "south-3"}, {"on": False}, {"at_us": 8}], ids=lambda c: next(iter(c))
)
def test_another_change_has_another_key(change: dict[str, object]) -> None:
    assert msgspec.structs.replace(ALERT, **change).key != ALERT.key


@pytest.mark.parametrize(
    "change",
    [{"title": "Cold"}, {"says": "x"}, {"urgent": True}, {"vessel": "north"}, {"data": {"temp_c": 14.0}}],
    ids=lambda c: next(iter(c)),
)
def test_the_words_and_values_of_an_alert_are_not_in_its_key(change: dict[str, object]) -> None:
    assert msgspec.structs.replace(ALERT, **change).key == ALERT.key


def test_on_and_off_are_one_subject() -> None:
    assert msgspec.structs.replace(ALERT, on=False, at_us=9).subject == ALERT.subject == ("too cold", "north-12")


def test_an_alert_survives_being_written_and_read() -> None:
    alert = msgspec.structs.replace(ALERT, data={"temp_c": 14.0, "limit_c": 16, "unit": "C", "since": None})
    assert msgspec.json.decode(msgspec.json.encode(alert), type=Alert) == alert


def test_kinds_are_listed_once_each() -> None:
    assert len(set(ALERT_KINDS)) == len(ALERT_KINDS) == 15
