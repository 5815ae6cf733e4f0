from __future__ import annotations

import json
import math
from collections.abc import Mapping
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.collector import SENML, Form, Packet, checked_form, decode_packet
from lullwort.records import HOUR_US, SetAside, parse_instant

NOW_US = parse_instant("2026-03-02T12:00:00Z")
JSON = checked_form(
    "form",
    {"read": "json", "each": "/r",
     "fields": {"time": "/ts", "gravity": "/sg", "temperature": "/t", "sensor": "/id", "battery": "/v"},
     "times": "unix", "scale": {"gravity": 0.001}, "missing": [-999, "NA"]},
)  # fmt: skip
BARE = checked_form("form", {"read": "number", "quantity": "gravity"})

Row = tuple[str, str, int, float | None, float | None]


def decoded(
    payload: bytes, form: Form, named: Mapping[str, str] | None = None, vessel_of: Mapping[str, str] | None = None
) -> tuple[list[Row], list[SetAside]]:
    parts = decode_packet(Packet("broker", "a/b", payload, NOW_US), form, named or {}, vessel_of or {})
    rows = [
        (block.sensors[s], block.vessels[v], at_us, None if math.isnan(g) else g, None if math.isnan(t) else t)
        for block, _ in parts
        for s, v, at_us, g, t in zip(
            block.sensor_codes, block.vessel_codes, block.at_us.tolist(), block.gravity.tolist(),
            block.temperature.tolist(), strict=True,
        )
    ]  # fmt: skip
    return rows, [row for _, rows in parts for row in rows]


def element(**changed: object) -> dict[str, object]:
    return {"id": "f1", "ts": NOW_US // 10**6 - 60, "sg": 1050, "t": 20.5, "v": 3.9} | changed


def message(*elements: object) -> bytes:
    return json.dumps({"r": elements}).encode()


def test_fields_are_found_scaled_and_placed() -> None:
    rows, aside = decoded(message(element(), element(id="f2", sg="1049.5")), JSON, vessel_of={"f2": "south"})
    assert not aside
    assert [(*row[:3], round(row[3] or 0.0, 6), row[4]) for row in rows] == [
        ("f1", "f1", NOW_US - 60 * 10**6, 1.050, 20.5),
        ("f2", "south", NOW_US - 60 * 10**6, 1.0495, 20.5),
    ]


def test_the_topic_says_whose_reading_it_is_where_the_message_does_not() -> None:
    assert decoded(b" 1.0425\n", BARE, {"sensor": "f9", "vessel": "north"})[0] == [
        ("f9", "north", NOW_US, 1.0425, None)
    ]
    assert decoded(b"1.0425", BARE, {"vessel": "north"})[0][0][:2] == ("north", "north")


@pytest.mark.parametrize(
    ("changed", "column", "expected"),
    [
        ({"sg": "1,050"}, "gravity", "a number"),
        ({"sg": True}, "gravity", "a number"),
        ({"sg": None, "t": None}, "gravity", "gravity or temperature"),
        ({"sg": 1_050_000}, "gravity", "looks like"),
        ({"ts": "yesterday"}, "time", ""),
        ({"ts": 60}, "time", "a time from 2000 on and at most a day ahead"),
        ({"ts": NOW_US // 10**6 + 2 * 86400}, "time", "at most a day ahead"),
        ({"id": "Float One"}, "sensor", "an id"),
        ({"id": None}, "sensor", "an id"),
    ],
)
def test_a_bad_element_is_set_aside_and_those_around_it_kept(
    changed: dict[str, object], column: str, expected: str
) -> None:
    rows, aside = decoded(message(element(), element(**changed), element(ts=NOW_US // 10**6)), JSON)
    assert len(rows) == 2
    assert [row.column for row in aside] == [column]
    assert expected in aside[0].expected


@pytest.mark.parametrize(
    "payload", [b"", b"[", b"\xff\xfe", b"nul", b"[" * 200_000, b'{"r": 3}', b'{"q": []}', b" " * (2 << 20), b"NaN"]
)
@pytest.mark.parametrize("form", [SENML, JSON, BARE], ids=["senml", "json", "number"])
def test_what_is_no_message_is_set_aside_as_a_whole(payload: bytes, form: Form) -> None:
    rows, aside = decoded(payload, form, {"sensor": "f1"})
    assert not rows
    assert len(aside) == 1


def test_a_sensor_without_a_clock_is_dated_when_it_came() -> None:
    form = checked_form("form", {"read": "senml", "clock": "arrival"})
    rows, aside = decoded(b'[{"bn":"f1:","bt":86400000000,"n":"gravity","u":"/","v":1.05}]', SENML)
    assert not rows
    assert len(aside) == 1
    rows, aside = decoded(b'[{"bn":"f1:","bt":1600000000,"n":"gravity","u":"/","v":1.05}]', form)
    assert [row[2] for row in rows] == [NOW_US]
    assert not aside


PACK = (
    b'[{"bn":"f1:","bt":1772452800,"n":"gravity","u":"/","v":1.05},{"n":"temperature","u":"Cel","v":20}]'  # a whole one
)
GOOD = [message(element(), element(sg=1040)), b"1.05", PACK]


@settings(max_examples=400, deadline=None)
@given(st.integers(0, 2**32), st.sampled_from(GOOD), st.sampled_from([SENML, JSON, BARE]))
def test_no_payload_makes_it_fail(seed: int, payload: bytes, form: Form) -> None:
    random = Random(seed)
    broken = bytearray(payload)
    for _ in range(random.randrange(1, 6)):
        at = random.randrange(len(broken) + 1)
        broken[at : at + random.randrange(3)] = random.choice(
            [b"", b"[", b'"', b"{", b"9", b"-", b"\xff", b"e308", b"\\"]
        )
    rows, _ = decoded(bytes(broken), form, {"sensor": "f1"})
    assert all(abs(at_us - NOW_US) < 30 * 365 * 24 * HOUR_US for _, _, at_us, _, _ in rows)
