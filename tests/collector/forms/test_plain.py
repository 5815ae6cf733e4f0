"""The fast way of reading gives what the other gives, or nothing."""

from __future__ import annotations

import json
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.collector import SENML, Packet, decode_packet, plain_reading
from lullwort.records import VALUE_COLUMNS, parse_instant

NOW_US = parse_instant("2026-03-02T12:00:00Z")
NOW_S = NOW_US // 1_000_000


def pack(*records: dict[str, object]) -> bytes:
    return json.dumps(records).encode()


FIRST = {"bn": "f1:", "bt": NOW_S, "n": "gravity", "u": "/", "v": 1.0482}
WARMTH = {"n": "temperature", "u": "Cel", "v": 19.4}
BATTERY = {"n": "battery", "u": "V", "v": 3.9}


def both_agree(payload: bytes) -> bool:
    """Whether the fast way answers; then the other must say the same, bit by bit."""
    plain = plain_reading(payload, NOW_US)
    if plain is None:
        return False
    parts = [
        (block, aside)
        for block, aside in decode_packet(Packet("broker", "t", payload, NOW_US), SENML, {}, {})
        if len(block) or aside
    ]
    ((block, aside),) = parts
    assert not aside
    assert (block.sensors, block.at_us.tolist()) == ((plain.sensor,), [plain.at_us])
    assert [repr(float(getattr(block, column)[0])) for column in VALUE_COLUMNS] == [repr(v) for v in plain.values]
    assert tuple(block.units) == ("sg", "C", "V")
    return True


@pytest.mark.parametrize(
    "payload",
    [pack(FIRST), pack(FIRST, WARMTH), pack(FIRST, WARMTH, BATTERY), pack({**FIRST, **WARMTH}),
     pack({**FIRST, "bt": NOW_S + 0.123456}), pack({**FIRST, "v": 1})],
)  # fmt: skip
def test_what_most_sensors_send_is_plain(payload: bytes) -> None:
    assert both_agree(payload)


@pytest.mark.parametrize(
    "payload",
    [
        b"", b"[]", b"1", pack(WARMTH), pack({**FIRST, "bt": 5}), pack({**FIRST, "bt": NOW_S + 200_000}),
        pack({**FIRST, "v": 12.9}), pack({**FIRST, "u": "x"}), pack({**FIRST, "bn": "F 1:"}), pack(FIRST, FIRST),
        pack(FIRST, {**WARMTH, "t": 5}), pack(FIRST, {"n": "vessel", "vs": "north"}), pack(FIRST, WARMTH, WARMTH),
        pack({**FIRST, "bver": 99}), pack({**FIRST, "bt": NOW_S + 0.1234565}), pack(FIRST) + pack(FIRST),
        b'[{"bn":"f1:","bt":1772442000,"n":"gravity","u":"/","v":1.05,"v":1.04}]',
        b'[{"bn":"f1:","bt":1772442000,"n":"gravity","u":"/","v":1.05,"\\u0076":1.04}]',
        b'[{"bn":"f1:","bt":1772442000,"n":"temperature","u":"Cel","v":1e999}]',
    ],
)  # fmt: skip
def test_anything_else_is_left_to_the_other_way(payload: bytes) -> None:
    assert plain_reading(payload, NOW_US) is None


@pytest.mark.no_cover
@settings(max_examples=1500, deadline=None)
@given(st.integers(0, 2**32), st.integers(0, 4))
def test_the_two_ways_never_differ(seed: int, slips: int) -> None:
    random = Random(seed)
    records = [dict(FIRST), dict(WARMTH), dict(BATTERY)]
    random.shuffle(records)
    records[0] = {"bn": "f1:", "bt": NOW_S + round(random.uniform(-1e6, 1e4), random.randrange(9)), **records[0]}
    for record in records:
        record["v"] = round(random.uniform(0.9, 1.3), random.randrange(17))
    payload = bytearray(json.dumps(records[: random.randrange(1, 4)]).encode())
    for _ in range(slips):
        at = random.randrange(len(payload) + 1)
        payload[at : at + random.randrange(3)] = random.choice(
            [b"", b"0", b"9", b"-", b".", b"e3", b'"', b",", b" ", b"v"]
        )
    both_agree(bytes(payload))


@pytest.mark.parametrize(
    "spoilt",
    [
        pack(FIRST).replace(b'"v": 1.0482', b'"v": 1.0482, "v": 1.05'),
        pack(FIRST, WARMTH).replace(b'"n": "gravity"', b'"n" : "gravity", "n": "gravity"'),
        pack(FIRST, WARMTH).replace(b'"bt"', b'"bt": 7, "bt"'),
        pack(FIRST, WARMTH).replace(b'"n": "temperature"', b'"bn": "f1:", "n": "temperature"'),
        pack({**FIRST, "bn": ""}, {**WARMTH, "bn": "f1:"}),
    ],
)
def test_labels_that_are_there_twice_are_left_to_the_other_way(spoilt: bytes) -> None:
    assert plain_reading(spoilt, NOW_US) is None
