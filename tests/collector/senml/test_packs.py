"""SenML: packs resolved by the standard, records put together to readings, everything else set aside and told.

Examples and rules of the standards [RFC8428, RFC8798, RFC9100] are from memory and from notes on them, not copied from
the published text; values of our own are worked out by hand.
"""

from __future__ import annotations

import codecs
import json
import math
from decimal import Decimal
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.collector import Mapping, open_log, propose_mapping
from lullwort.collector.senml.elements import PackScanner
from lullwort.collector.senml.packs import SenmlDecoder
from lullwort.collector.senml.resolve import Resolved, Resolver
from lullwort.collector.senml.senmllog import open_senml
from lullwort.errors import SourceError, UsageError
from lullwort.records import VALUE_COLUMNS, Block, ReportedUnits, SetAside

AT_S = 1_772_442_000
AT_US = AT_S * 1_000_000


class Row(NamedTuple):
    """One reading: values that are given only, with the units of gravity, temperature and battery."""

    sensor: str
    vessel: str
    at_us: int
    values: dict[str, float]
    units: ReportedUnits


class Decoded(NamedTuple):
    """All readings and all records set aside."""

    rows: list[Row]
    set_aside: list[SetAside]


def rows_of(block: Block) -> list[Row]:
    return [
        Row(
            block.sensors[block.sensor_codes[i]],
            block.vessels[block.vessel_codes[i]],
            int(block.at_us[i]),
            {name: value for name in VALUE_COLUMNS if not math.isnan(value := float(getattr(block, name)[i]))},
            block.units,
        )
        for i in range(len(block))
    ]


def decode(
    packs: object, *, vessel: str | None = None, received_us: int | None = None, place: str = "a.senml"
) -> Decoded:
    """What a pack, a text or bytes hold."""
    text = packs if isinstance(packs, str | bytes) else json.dumps(packs)
    data = text if isinstance(text, bytes) else text.encode()
    rows: list[Row] = []
    set_aside: list[SetAside] = []
    for block, aside in SenmlDecoder(data, place, vessel, received_us).blocks():
        rows += rows_of(block)
        set_aside += aside
    return Decoded(rows, set_aside)


def gravity(value: Any = 1.0123, **others: Any) -> dict[str, Any]:
    return {"n": "float-1:gravity", "u": "/", "t": AT_S, "v": value, **others}


def temperature(value: Any = 20.1, **others: Any) -> dict[str, Any]:
    return {"n": "float-1:temperature", "u": "Cel", "t": AT_S, "v": value, **others}


def refused(record: Any, *more: Any, received_us: int | None = None) -> SetAside:
    """The one record that is set aside of those given, with a sound one behind them that is not."""
    sound = gravity(n="float-9:gravity", bn="", bt=0)
    decoded = decode([record, *more, sound], received_us=received_us)
    (aside,) = decoded.set_aside
    assert "float-9" in {row.sensor for row in decoded.rows}
    return aside


def resolved(pack: str) -> list[Resolved]:
    resolver = Resolver()
    found = []
    for element in PackScanner(pack).elements():
        assert isinstance(element.content, dict)
        found.append(resolver.resolve(element.content))
    return found


# -- the standard's own examples -------------------------------------------------------------------------------------


def test_a_single_value_resolves_to_itself() -> None:
    # [RFC8428] 5.1.1, from memory.
    (record,) = resolved('[{"n":"urn:dev:ow:10e2073a01080063","u":"Cel","v":23.1}]')
    assert record == ("urn:dev:ow:10e2073a01080063", "Cel", "v", Decimal("23.1"), Decimal(0))


def test_base_fields_and_negative_times_resolve_as_in_the_standard() -> None:
    # [RFC8428] 5.1.2 and its resolved form in 5.4, from memory.
    records = resolved(
        '[{"bn":"urn:dev:ow:10e2073a0108006:","bt":1.276020076001e+09,"bu":"A","bver":5,"n":"voltage","u":"V",'
        '"v":120.1},{"n":"current","t":-5,"v":1.2},{"n":"current","t":-4,"v":1.3},{"n":"current","v":1.7}]'
    )
    name = "urn:dev:ow:10e2073a0108006:"
    assert records == [
        (f"{name}voltage", "V", "v", Decimal("120.1"), Decimal("1276020076.001")),
        (f"{name}current", "A", "v", Decimal("1.2"), Decimal("1276020071.001")),
        (f"{name}current", "A", "v", Decimal("1.3"), Decimal("1276020072.001")),
        (f"{name}current", "A", "v", Decimal("1.7"), Decimal("1276020076.001")),
    ]


def test_values_of_other_types_resolve() -> None:
    # [RFC8428] 5.1.4, from memory.
    records = resolved(
        '[{"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel","v":23.1},{"n":"label","vs":"Machine Room"},'
        '{"n":"open","vb":false},{"n":"nfc-reader","vd":"aGkgCg"}]'
    )
    assert [record[2:4] for record in records] == [
        ("v", Decimal("23.1")), ("vs", "Machine Room"), ("vb", False), ("vd", "aGkgCg")
    ]  # fmt: skip


# -- readings --------------------------------------------------------------------------------------------------------


def test_records_of_one_sensor_and_time_are_one_reading() -> None:
    pack = [
        {"bn": "float-1:", "bt": AT_S, "n": "gravity", "u": "/", "v": 1.0123},
        {"n": "temperature", "u": "Cel", "v": 20.1},
        {"n": "inclination", "u": "deg", "v": 41.5},
        {"n": "battery", "u": "V", "v": 3.9},
        {"n": "signal", "u": "dBW", "v": -100},
    ]
    values = {"gravity": 1.0123, "temperature": 20.1, "inclination": 41.5, "battery": 3.9, "signal": -70.0}
    assert decode(pack) == ([Row("float-1", "float-1", AT_US, values, ReportedUnits("sg", "C", "V"))], [])


def test_a_pack_may_hold_several_sensors_and_times() -> None:
    pack = [gravity(), gravity(n="float-2:gravity"), gravity(1.01, t=AT_S + 60)]
    assert [(row.sensor, row.at_us) for row in decode(pack).rows] == [
        ("float-1", AT_US), ("float-2", AT_US), ("float-1", AT_US + 60_000_000)
    ]  # fmt: skip


def test_units_stay_as_reported_in_blocks_of_their_own() -> None:
    pack = [
        {"n": "a:density", "u": "kg/m3", "t": AT_S, "v": 1012.5},
        {"n": "b:temperature", "u": "K", "t": AT_S, "v": 293.25},
        {"n": "c:battery", "u": "%EL", "t": AT_S, "v": 81},
        {"n": "d:gravity", "u": "%", "t": AT_S, "v": 1.05},
    ]
    assert {row.sensor: (row.values, row.units) for row in decode(pack).rows} == {
        "a": ({"gravity": 1012.5}, ("kg_m3", "C", "V")),
        "b": ({"temperature": 293.25}, ("sg", "K", "V")),
        "c": ({"battery": 81.0}, ("sg", "C", "%")),
        "d": ({"gravity": 1.05}, ("sg", "C", "V")),
    }


def test_radians_become_degrees() -> None:
    (row,) = decode([{"n": "a:inclination", "u": "rad", "t": AT_S, "v": 0.7853981633974483}]).rows
    assert row.values == {"inclination": 45.0}  # a quarter of pi


def test_a_value_said_twice_is_one_reading_and_two_values_are_two() -> None:
    decoded = decode([gravity(), gravity(), gravity(1.02), temperature()])
    assert [row.values for row in decoded.rows] == [{"gravity": 1.0123, "temperature": 20.1}, {"gravity": 1.02}]
    assert decoded.set_aside == []


@pytest.mark.no_cover
def test_any_number_of_values_at_one_instant_takes_a_time_in_proportion() -> None:
    # A sensor without a clock says one instant for ever: comparing each with all others would take minutes.
    decoded = decode([gravity(1 + i * 1e-6) for i in range(30_000)])
    assert (len(decoded.rows), len(decoded.set_aside)) == (30_000, 0)


def test_the_same_temperature_in_two_units_is_two_readings() -> None:
    decoded = decode([temperature(20.0), temperature(293.15, u="K")])
    assert [row.units[1] for row in decoded.rows] == ["C", "K"]


def test_density_beside_gravity_is_set_aside() -> None:
    density = {"n": "float-1:density", "u": "kg/m3", "t": AT_S, "v": 1010.5}
    for pack in ([gravity(), density], [density, gravity()]):
        decoded = decode(pack)
        assert [row.values for row in decoded.rows] == [{"gravity": 1.0123}]
        assert [(aside.seen, aside.expected) for aside in decoded.set_aside] == [
            ("float-1:density", "gravity or density of one sensor and time, not both")
        ]


def test_two_densities_beside_a_gravity_leave_one_reading() -> None:
    densities = [{"n": "float-1:density", "u": "kg/m3", "t": AT_S, "v": value} for value in (1010.5, 1011)]
    decoded = decode([*densities, gravity(), temperature()])
    assert [row.values for row in decoded.rows] == [{"gravity": 1.0123, "temperature": 20.1}]
    assert len(decoded.set_aside) == 2


# -- base fields -----------------------------------------------------------------------------------------------------


def test_base_fields_hold_until_they_come_again() -> None:
    pack = [
        {"bn": "a:", "bt": AT_S, "bu": "/", "bv": 1, "n": "gravity", "v": 0.05},
        {"n": "gravity", "t": 60, "v": 0.04},
        {"bn": "b:", "bv": 0, "n": "gravity", "v": 1.03},
    ]
    assert [(row.sensor, row.at_us - AT_US, row.values["gravity"]) for row in decode(pack).rows] == [
        ("a", 0, 1.05), ("a", 60_000_000, 1.04), ("b", 0, 1.03)
    ]  # fmt: skip


def test_base_fields_of_a_record_that_is_set_aside_hold_all_the_same() -> None:
    pack = [{"bn": "a:", "bt": AT_S, "n": "colour", "v": 3}, {"n": "gravity", "u": "/", "v": 1.05}]
    decoded = decode(pack)
    assert [(row.sensor, row.at_us) for row in decoded.rows] == [("a", AT_US)]
    assert [aside.place for aside in decoded.set_aside] == ["a.senml#rec=1"]


@pytest.mark.parametrize(
    ("first", "label"),
    [({"bt": "noon"}, "bt"), ({"bn": 5}, "bn"), ({"bu": None}, "bu"), ({"bv": [1]}, "bv")],
)
def test_a_base_field_that_is_not_usable_spoils_what_rests_on_it_until_it_comes_again(
    first: dict[str, Any], label: str
) -> None:
    record = {"n": "a:gravity", "t": AT_S, "v": 1.05}
    again = {"bt": 0, "bn": "", "bu": "/", "bv": 0}
    decoded = decode([again | first | record, record, again | record])
    assert len(decoded.rows) == 1
    assert [aside.column for aside in decoded.set_aside] == [label, "record"]
    assert decoded.set_aside[1].seen == f"{label} of an earlier record"


def test_a_record_with_its_own_unit_does_not_need_the_base_unit() -> None:
    decoded = decode([gravity(bu=3), gravity(t=AT_S + 1)])
    assert (len(decoded.rows), len(decoded.set_aside)) == (1, 1)


# -- times -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("base", "own", "at_us"),
    [
        ("1772442000.123456", "0.000001", 1_772_442_000_123_457),
        ("1.772442e9", "-5", 1_772_441_995_000_000),
        ("1772442000.1", "0.2", 1_772_442_000_300_000),
        ("4102444799.999999", "0", 4_102_444_799_999_999),
        ("1772442000.0000005", "0", 1_772_442_000_000_000),  # half a microsecond goes to the even one
        ("1772442000.0000015", "0", 1_772_442_000_000_002),
        ("1772442000.00000050000000000000000000000000001", "0", 1_772_442_000_000_001),
        ("1e-300", "1772442000", AT_US),
    ],
)
def test_decimal_seconds_add_to_the_exact_microsecond(base: str, own: str, at_us: int) -> None:
    text = f'[{{"bt":{base},"n":"a:gravity","u":"/","t":{own},"v":1.05}}]'
    assert [row.at_us for row in decode(text).rows] == [at_us]


@pytest.mark.parametrize(("seconds", "at_us"), [(0, AT_US), (-60.5, AT_US - 60_500_000), (2, AT_US + 2_000_000)])
def test_times_below_2_to_28_are_relative_to_the_time_of_receipt(seconds: float, at_us: int) -> None:
    decoded = decode([gravity(t=seconds)], received_us=AT_US)
    assert [row.at_us for row in decoded.rows] == [at_us]


def test_2_to_28_itself_is_absolute_and_what_is_less_relative() -> None:
    # [RFC8428] 4.5.3: values greater than or equal to 2**28 are absolute; 2**28 s are 1978-07-04T21:24:16Z.
    decoded = decode([gravity(t=2**28), gravity(t=2**28 - 1)], received_us=AT_US)
    assert [row.at_us for row in decoded.rows] == [268_435_456_000_000, AT_US + 268_435_455_000_000]


def test_the_sum_of_base_time_and_time_decides_what_is_relative() -> None:
    decoded = decode([gravity(bt=AT_S, t=-AT_S)], received_us=AT_US)
    assert [row.at_us for row in decoded.rows] == [AT_US]


def test_without_a_time_of_receipt_a_relative_time_is_set_aside() -> None:
    aside = refused(gravity(t=-5))
    assert (aside.column, aside.seen) == ("t", "-5")
    assert "relative to when is not known" in aside.expected


@pytest.mark.parametrize("seconds", [8e9, -3e8, 1e300])
def test_times_that_no_reading_can_have_are_set_aside(seconds: float) -> None:
    assert refused(gravity(t=seconds), received_us=AT_US).expected == "a time in the years 1970 to 2199"


# -- records that are set aside --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("record", "column", "seen", "expected"),
    [
        (gravity(n="gravity"), "n", "gravity", "SENSOR:QUANTITY"),
        (gravity(n="float-1:colour"), "n", "float-1:colour", "SENSOR:QUANTITY"),
        (gravity(n="Float:gravity"), "n", "Float", "an id: lower-case"),
        (gravity(n="urn:dev:x:gravity"), "n", "urn:dev:x", "an id: lower-case"),
        (gravity(n=":gravity"), "n", ":gravity", "a letter or digit first"),
        (gravity(n="fässchen:gravity"), "n", "fässchen:gravity", "a name of letters"),
        (gravity(n="float 1:gravity"), "n", "float 1:gravity", "a name of letters"),
        (gravity(n=""), "n", "", "a name of letters"),
        (gravity(n=7), "n", "7", "a string"),
        (gravity(u="Cel"), "u", "Cel", "a unit of gravity: / or %"),
        (gravity(u=""), "u", "no unit", "a unit of gravity: / or %"),
        (temperature(u="F"), "u", "F", "a unit of temperature: Cel or K"),
        (gravity("1.0123"), "v", "1.0123", "a finite number"),
        (gravity(None), "v", "null", "a finite number"),
        (gravity(True), "v", "true", "a finite number"),
        (gravity([1]), "v", "an array", "a finite number"),
        (gravity(1052), "v", "1052", "this looks like SG x 1000 or kg/m³"),
        (gravity(t="noon"), "t", "noon", "a finite number"),
        (gravity(ut="soon"), "ut", "soon", "a finite number"),
        (gravity(vs="x"), "record", "v and vs", "one value"),
        ({"n": "a:gravity", "u": "/", "t": AT_S}, "record", "no value", "one value"),
        ({"n": "a:gravity", "u": "/", "t": AT_S, "s": 3}, "record", "a sum without a value", "one value"),
        ({"n": "a:gravity", "t": AT_S, "vb": True}, "vb", "true", "a number, v, for gravity"),
        ({"n": "a:gravity", "t": AT_S, "vb": 1}, "vb", "1", "true or false"),
        ({"n": "a:vessel", "v": 3}, "v", "3", "the id of a vessel"),
        ({"n": "a:vessel", "vs": "North 1"}, "vs", "North 1", "an id: lower-case"),
        ({"n": "a:vessel", "t": AT_S, "vs": "north"}, "n", "a:vessel", "a reading of this sensor in the same pack"),
        (gravity(must_=1), "record", "must_", "known labels only"),
        ([1], "record", "an array", "an object in JSON"),
        (None, "record", "null", "an object in JSON"),
        ("text", "record", "text", "an object in JSON"),
    ],
)
def test_a_record_is_set_aside_with_what_was_seen_and_expected(
    record: Any, column: str, seen: str, expected: str
) -> None:
    aside = refused(record)
    assert (aside.place, aside.line, aside.column, aside.seen) == ("a.senml#rec=1", 0, column, seen)
    assert expected in aside.expected
    assert json.loads(aside.raw_text) == record


def test_labels_that_are_not_known_are_ignored() -> None:
    assert decode([gravity(remark="x", deep={"a": [1]})]).set_aside == []


def test_a_sum_and_an_update_time_do_no_harm() -> None:
    assert len(decode([gravity(s=5, bs=1, ut=60)]).rows) == 1


def test_a_base_label_that_must_be_understood_refuses_the_records_after_it_too() -> None:
    decoded = decode([gravity(), gravity(bx_=1, t=AT_S + 1), gravity(t=AT_S + 2)])
    assert len(decoded.rows) == 1
    assert [aside.seen for aside in decoded.set_aside] == ["bx_", "after bx_"]


def test_a_label_twice_refuses_the_record_and_what_rests_on_its_base_fields() -> None:
    sound = json.dumps(gravity())
    text = f'[{{"bt":1,"bt":2,"n":"a:gravity","u":"/","v":1.05}},{sound}]\n[{sound}]'
    decoded = decode(text)
    assert [aside.seen for aside in decoded.set_aside] == ["a label twice", "bt of an earlier record"]
    assert len(decoded.rows) == 1


@pytest.mark.parametrize(
    "number", ["1e999999", "-1e999999", "NaN", "Infinity", "1" * 5000, "1e309", "1e99999999999999999999"]
)
@pytest.mark.parametrize("label", ["v", "t", "bt", "bv", "s", "bver"])
def test_numbers_beyond_a_float_are_set_aside(number: str, label: str) -> None:
    record = json.dumps({k: v for k, v in gravity().items() if k != label})[:-1]
    decoded = decode(f'[{record},"{label}":{number}}}]\n[{json.dumps(temperature())}]')
    assert [row.values for row in decoded.rows] == [{"temperature": 20.1}]
    assert [aside.column for aside in decoded.set_aside] == [label]


def test_a_sum_beyond_a_float_is_set_aside() -> None:
    text = json.dumps([temperature(1.7e308, bv=1.7e308)])
    assert [aside.expected for aside in decode(text).set_aside] == ["a finite number"]


@pytest.mark.parametrize("number", ["1e-999999", "0e999999", "0.0", "-0"])
def test_numbers_too_small_for_a_float_are_zero(number: str) -> None:
    text = json.dumps([temperature()]).replace("20.1", number)
    assert [row.values for row in decode(text).rows] == [{"temperature": 0.0}]


# -- versions and secondary units ------------------------------------------------------------------------------------


@pytest.mark.parametrize("version", [5, 10, 10.0, 26])
def test_known_versions_are_read(version: float) -> None:
    assert len(decode([gravity(bver=version)]).rows) == 1


@pytest.mark.parametrize("version", [0, -1, 9.5, 11, 27, 42, 1e300, "10"])
def test_a_version_that_is_not_known_refuses_its_pack_and_no_other(version: Any) -> None:
    text = json.dumps([gravity(bver=version), gravity(t=AT_S + 1)]) + json.dumps([gravity(t=AT_S + 2)])
    decoded = decode(text)
    assert [aside.place for aside in decoded.set_aside] == ["a.senml#rec=1", "a.senml#rec=2"]
    assert {aside.column for aside in decoded.set_aside} == {"bver"}
    assert [row.at_us for row in decoded.rows] == [AT_US + 2_000_000]


@pytest.mark.parametrize("versions", [(10, 26), (26, 10), (None, 26), (5, 10)])
def test_differing_versions_refuse_the_pack(versions: tuple[int | None, int]) -> None:
    pack = [gravity(), gravity(t=AT_S + 1, bver=versions[1])]
    if versions[0] is not None:
        pack[0]["bver"] = versions[0]
    decoded = decode(pack)
    assert decoded.rows == []
    assert {aside.expected for aside in decoded.set_aside} == {"one version in a pack"}
    assert len(decoded.set_aside) == 2


def test_the_default_version_may_be_stated_later() -> None:
    assert len(decode([gravity(), gravity(t=AT_S + 1, bver=10)]).rows) == 2


@pytest.mark.parametrize(
    ("quantity", "unit", "value", "column", "stored"),
    [
        ("signal", "dBm", -70.5, "signal", -70.5),
        ("battery", "mV", 3912, "battery", 3.912),
        ("gravity", "/100", 101.23, "gravity", 1.0123),
        ("gravity", "/1000", 1012.3, "gravity", 1.0123),
        ("gravity", "ppm", 1012300, "gravity", 1.0123),
        ("density", "ug/m3", 1.0123e12, "gravity", 1012.3),
    ],
)
def test_secondary_units_hold_only_where_the_version_announces_them(
    quantity: str, unit: str, value: float, column: str, stored: float
) -> None:
    # Scales and offsets of [RFC8798], from notes on it; the values are worked out by hand.
    record = {"n": f"a:{quantity}", "u": unit, "t": AT_S, "v": value}
    assert [row.values for row in decode([record | {"bver": 26}]).rows] == [{column: stored}]
    aside = refused(record)
    assert (aside.column, aside.seen) == ("u", unit)
    assert "secondary units need bver 26" in aside.expected


# -- vessels ---------------------------------------------------------------------------------------------------------


def in_vessel(vessel: str, at_s: int = AT_S) -> dict[str, Any]:
    return {"n": "float-1:vessel", "t": at_s, "vs": vessel}


def test_the_vessel_is_what_the_pack_says_else_what_is_stated_else_the_sensor() -> None:
    pack = [gravity(), gravity(n="float-2:gravity"), in_vessel("north")]
    assert [row.vessel for row in decode(pack).rows] == ["north", "float-2"]
    assert [row.vessel for row in decode(pack, vessel="south").rows] == ["north", "south"]


def test_a_vessel_holds_from_its_time_on_and_the_first_before_it_too_wherever_they_stand() -> None:
    pack = [
        in_vessel("south", AT_S + 20),
        *(gravity(t=AT_S + i) for i in range(0, 40, 10)),
        in_vessel("north", AT_S + 10),
    ]
    decoded = decode(pack)
    assert [row.vessel for row in sorted(decoded.rows, key=lambda row: row.at_us)] == [
        "north",
        "north",
        "south",
        "south",
    ]
    assert decoded.set_aside == []


def test_reports_of_one_instant_that_begin_with_their_vessel_stay_apart() -> None:
    pack = [
        in_vessel("north"), gravity(1.05), in_vessel("south"), gravity(1.04), temperature(),
        in_vessel("south"), gravity(1.05),
    ]  # fmt: skip
    decoded = decode(pack)
    assert [(row.vessel, row.values) for row in decoded.rows] == [
        ("north", {"gravity": 1.05}), ("south", {"gravity": 1.04, "temperature": 20.1}), ("south", {"gravity": 1.05})
    ]  # fmt: skip
    assert decoded.set_aside == []


def test_of_two_vessels_at_one_time_none_is_chosen_for_what_does_not_say_it() -> None:
    pack = [gravity(), in_vessel("north"), in_vessel("south"), temperature(t=AT_S + 1), gravity(n="float-2:gravity")]
    decoded = decode(pack)
    assert [row.sensor for row in decoded.rows] == ["float-2"]
    assert [aside.column for aside in decoded.set_aside] == ["n", "n", "n", "n"]
    assert {aside.expected for aside in decoded.set_aside[::3]} == {"one vessel for float-1 at one time"}


def test_a_vessel_holds_for_its_own_pack_only() -> None:
    text = json.dumps([gravity(), in_vessel("north")]) + json.dumps([gravity(t=AT_S + 1)])
    assert [row.vessel for row in decode(text).rows] == ["north", "float-1"]


def test_what_is_set_aside_names_its_vessel_where_it_is_known() -> None:
    pack = [gravity(u="x"), temperature(), in_vessel("north"), gravity(n="?")]
    assert [aside.vessel for aside in decode(pack).set_aside] == ["north", ""]


# -- several packs, damage -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("between", ["", "\n", "\r\n\r\n", "  "])
def test_packs_may_follow_each_other_and_records_count_through(between: str) -> None:
    packs: tuple[list[Any], ...] = ([gravity(), gravity(u="x")], [], [gravity(u="y")], [gravity(t=AT_S + 1)])
    decoded = decode(between.join(map(json.dumps, packs)) + between)
    assert len(decoded.rows) == 2
    assert [aside.place for aside in decoded.set_aside] == ["a.senml#rec=2", "a.senml#rec=3"]


def test_what_stands_before_the_cut_of_a_truncated_pack_is_kept_at_every_cut() -> None:
    records = [gravity(t=AT_S + i) for i in range(3)]
    text = json.dumps(records)
    ends = [len(json.dumps(records[: i + 1])) - 1 for i in range(3)]
    for cut in range(1, len(text)):
        decoded = decode(text[:cut])
        assert len(decoded.rows) == sum(1 for end in ends if end <= cut)
        whole = text[:cut].rstrip(", ") in (text[:1], *(text[:end] for end in ends))
        assert len(decoded.set_aside) == (0 if whole else 1)


def test_a_damaged_line_does_not_stop_the_packs_after_it() -> None:
    sound = json.dumps([gravity()])
    for damaged in ("[{]", "rubbish", '[{"n":"x" "v":1}]', "[" * 100_000, '{"n":"a:gravity"}', '[{"n":"a', "[7} ,"):
        decoded = decode(f"{sound}\n{damaged}\n{sound}\n")
        assert len(decoded.rows) == 2
        told = "".join(aside.raw_text for aside in decoded.set_aside)
        assert told.startswith(damaged.removeprefix("[").removesuffix("]")[:900])


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b" \n", "is empty"),
        (codecs.BOM_UTF8, "is empty"),
        (b"{}", "begins with '{}'"),
        (b"time,vessel", "begins with 'time,vessel'"),
        (b"\x00\x01\xff", "expected SenML"),
        ("[]".encode("utf-16"), "in UTF-8"),
        (b"3", "an array of records"),
    ],
)
def test_what_is_nothing_like_senml_is_refused(data: bytes, says: str) -> None:
    with pytest.raises(SourceError, match=r"^a\.senml: .*expected SenML") as refusal:
        decode(data)
    assert says in str(refusal.value)


def test_deep_nesting_is_set_aside() -> None:
    deep = "[" * 100_000
    decoded = decode(f'[{json.dumps(gravity())},{{"n":{deep}')
    assert (len(decoded.rows), len(decoded.set_aside)) == (1, 1)
    assert "without others nested in it" in decoded.set_aside[0].expected
    for depth in range(900, 1000):  # about as deep as is just read
        decoded = decode(f'[{{"n":{"[" * depth}{"]" * depth}}}]')
        assert len(decoded.set_aside) == 1


def test_bytes_that_are_not_utf_8_cost_their_record_only() -> None:
    text = json.dumps([gravity(remark="@"), temperature()]).encode().replace(b"@", b"\xe4")
    decoded = decode(text)
    assert [row.values for row in decoded.rows] == [{"temperature": 20.1}]
    (aside,) = decoded.set_aside
    assert aside.expected == "text in UTF-8"
    assert r"\udce4" in aside.raw_text


def test_what_is_set_aside_can_always_be_stored() -> None:
    for text in (r'[{"n":"\ud800","v":1}]', r'[{"n":"a:vessel","vs":"\u0000\udfff"}]', '[{"n":"a\0b"}]'):
        (aside,) = decode(text).set_aside
        assert "\0" not in aside.seen + aside.raw_text
        assert (aside.seen + aside.raw_text).encode()


def test_a_very_long_record_is_shortened() -> None:
    (aside,) = decode([gravity(n="x" * 100_000)]).set_aside
    assert len(aside.raw_text) < 1100
    assert len(aside.seen) < 100


# -- fuzzing ---------------------------------------------------------------------------------------------------------

VALID = "\n".join(
    json.dumps(pack)
    for pack in (
        [
            {"bn": "float-1:", "bt": AT_S + 0.25, "bver": 10, "n": "gravity", "u": "/", "v": 1.0123},
            {"n": "temperature", "u": "Cel", "v": 20.1},
            {"n": "vessel", "vs": "north"},
            {"n": "battery", "u": "%EL", "t": -5, "v": 81},
        ],
        [gravity(), {"n": "b:density", "u": "kg/m3", "t": AT_S, "v": 1012}, {"n": "b:signal", "u": "dBW", "v": -99}],
    )
).encode()
SNIPPETS = [
    b"[", b"]", b"{", b"}", b",", b'"', b":", b"\\", b"\n[", b"\xff", b"\xef\xbb\xbf", b"\0", b"null", b"true",
    b"1e999999", b"-", b'"bver":26,', b'"bt":', b'"x_":1,', b'"bx_":1,', b"[[[[", b"NaN", b"\\ud800", b'"v":1',
    b"9" * 400, b"{}", b"[]",
]  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn) -> bytes:
    data = VALID
    for _ in range(draw(st.integers(1, 4))):
        at, length = draw(st.integers(0, len(data))), draw(st.integers(0, 12))
        put = draw(st.sampled_from(SNIPPETS) | st.binary(max_size=3))
        data = data[:at] + put + data[at + length :]
    return data[: draw(st.integers(0, len(data)) | st.just(len(data)))]


@pytest.mark.no_cover
@given(mutated(), st.sampled_from([None, AT_US]))
def test_no_mutation_raises_anything_but_a_source_error_and_counts_add_up(data: bytes, received_us: int | None) -> None:
    try:
        decoder = SenmlDecoder(data, "a.senml", None, received_us)
    except SourceError:
        return
    rows: list[Row] = []
    set_aside: list[SetAside] = []
    for block, aside in decoder.blocks():
        rows += rows_of(block)
        set_aside += aside
    text = data.decode(errors="surrogateescape").removeprefix("\ufeff")
    elements = list(PackScanner(text).elements())
    # Each record is set aside once, or a value of a reading, or the vessel of a sensor that has readings.
    places = [aside.place for aside in set_aside]
    assert len(set(places)) == len(places)
    assert set(places) <= {f"a.senml#rec={i + 1}" for i in range(len(elements))}
    used = len(elements) - len(places)
    values = sum(len(row.values) for row in rows)
    assert values <= used
    assert all(row.values for row in rows)
    assert used == 0 or values > 0
    for told in set_aside:
        assert str(told).encode()
        assert told.raw_text.encode()


def test_the_valid_packs_are_read_whole() -> None:
    decoded = decode(VALID, received_us=AT_US)
    assert decoded.set_aside == []
    assert sum(len(row.values) for row in decoded.rows) == 6


# -- the file --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "head"),
    [("a.senml", ""), ("a.SENSML", ""), ("a.json", " \n"), ("a.json", "\ufeff"), ("a.senml", "\ufeff")],
)
def test_a_file_of_packs_is_a_log(tmp_path: Path, name: str, head: str) -> None:
    path = tmp_path / name
    path.write_text(head + json.dumps([gravity(), temperature(t=-1)]), encoding="utf-8")
    with open_log(path, Mapping(vessel="south")) as log:
        ((block, (aside,)),) = log.blocks()
        assert (log.kind, log.path, log.size, log.done) == ("senml", path, path.stat().st_size, path.stat().st_size)
        assert len(log.sha256) == 64
        assert [(row.vessel, row.values) for row in rows_of(block)] == [("south", {"gravity": 1.0123})]
        assert aside.place == f"{path}#rec=2"
        assert len(log.remarks) == (head == "\ufeff")
        assert [len(block) for block, _ in log.blocks()] == [1]


def test_json_that_is_no_array_is_read_as_text(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text('{"a": 1}\n', encoding="utf-8")
    with pytest.raises(Exception, match="header"), open_log(path, Mapping().as_readings_file()):
        pass


def test_a_pack_without_its_end_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a.sensml"
    path.write_text(json.dumps([gravity()])[:-1], encoding="utf-8")
    with open_log(path, Mapping()) as log:
        assert [(len(block), aside) for block, aside in log.blocks()] == [(1, [])]
        assert log.remarks == ("its last pack has no end; the file may have been cut off",)


def test_only_the_stated_vessel_is_part_of_how_a_file_of_packs_is_understood(tmp_path: Path) -> None:
    path = tmp_path / "a.senml"
    path.write_text("[]", encoding="utf-8")
    understood = []
    for mapping in (Mapping(), Mapping(zone="Europe/Berlin"), Mapping(vessel="south")):
        with open_log(path, mapping) as log:
            understood.append(log.understood)
    assert understood[0] == understood[1] != understood[2]
    with pytest.raises(UsageError, match="gravity means nothing"), open_log(path, Mapping(gravity="plato")):
        pass


@pytest.mark.parametrize("name", ["none.senml", "none.json", ".senml"])
def test_a_file_that_cannot_be_read_is_a_sentence(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    with pytest.raises(SourceError, match="there is no such file"), open_log(path, Mapping()):
        pass
    path.with_suffix(".senml").mkdir(exist_ok=True)
    with pytest.raises(SourceError, match="is a folder"), open_log(path.with_suffix(".senml"), Mapping()):
        pass


def test_nothing_is_doubtful_about_a_file_of_packs(tmp_path: Path) -> None:
    path = tmp_path / "a.senml"
    path.write_text(json.dumps([gravity()]), encoding="utf-8")
    proposal = propose_mapping(path, Mapping(vessel="south"))
    assert (proposal.mapping.vessel, proposal.doubts, proposal.readable) == ("south", (), True)


@pytest.mark.parametrize("slip", ["1.0.0", ".5", "01", "+1", "tru", "'1'", ""])
def test_a_slip_inside_one_record_costs_that_record_alone(tmp_path: Path, slip: str) -> None:
    path = tmp_path / "pack.senml"
    good = '{"bn":"a:","n":"gravity","u":"/","v":1.05,"t":17724420%d0}'
    path.write_text(f"[{good % 0},{good.replace('1.05', slip) % 1},{good % 2}]")
    with open_senml(path, Mapping()) as log:
        found = list(log.blocks())
    assert sum(len(block) for block, _ in found) == 2
    assert [row.place for _, rows in found for row in rows] == [f"{path}#rec=2"]


def test_a_base_field_in_a_slip_is_not_relied_upon(tmp_path: Path) -> None:
    path = tmp_path / "pack.senml"
    path.write_text(
        '[{"bn":"a:","bt":1772442000,"n":"gravity","u":"/","v":1.05},{"bt":1772445600,"n":"gravity","u":"/","v":1.0.5},'
        '{"n":"gravity","u":"/","v":1.04},{"bt":1772449200,"n":"gravity","u":"/","v":1.03}]'
    )
    with open_senml(path, Mapping()) as log:
        ((block, rows),) = list(log.blocks())
    assert block.gravity.tolist() == [1.05, 1.03]
    assert [row.place[-1] for row in rows] == ["2", "3"]
