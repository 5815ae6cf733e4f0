"""The batches file: every key, every refusal."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from lullwort.collector import read_batches_file
from lullwort.errors import SourceError, UsageError
from lullwort.records import Batch, Event, Instrument, parse_instant

PITCHED = "2026-03-02T09:00:00Z"
LEAST = f'[[batch]]\nvessel = "north"\npitched = {PITCHED}\n'

ReadBatches = Callable[[str], list[Batch]]


@pytest.fixture
def read(tmp_path: Path) -> ReadBatches:
    def read_text(text: str) -> list[Batch]:
        path = tmp_path / "batches.toml"
        path.write_text(text, encoding="utf-8")
        return read_batches_file(path)

    return read_text


def test_vessel_and_pitch_are_enough_and_name_the_batch(read: ReadBatches) -> None:
    assert read(LEAST) == [Batch(vessel="north", name="north-2026-03-02", pitched_us=parse_instant(PITCHED))]


def test_every_key_is_taken(read: ReadBatches) -> None:
    (batch,) = read(
        LEAST
        + """
name = "north-12"
recipe = "pale"
packaged = 2026-03-20T10:00:00+01:00
original_gravity = 1.052
expected_final_gravity = [1.010, 1.014]
expected_attenuation = [0.70, 0.80]
forced_test_gravity = 1.011
yeast_min_c = 14
yeast_max_c = 22.0
volume_l = 19.0
hold_window_h = 72
tolerance = 0.002
caution = "careful"
gravity_reported = "corrected"
reference_c = 15.56
sensor_expansion_per_k = 0.0002
reading_interval_h = 0.25
  [[batch.event]]
  at = 2026-03-09T18:00:00Z
  kind = "dry hop"
  note = "in a bag"
  [[batch.event]]
  at = 2026-03-05T18:00:00Z
  kind = "addition"
  points = 6
  [[batch.event]]
  at = 2026-03-10T18:00:00Z
  kind = "sample"
  gravity = 1.012
  temperature_c = 19.5
"""
    )
    assert batch == Batch(
        vessel="north", name="north-12", pitched_us=parse_instant(PITCHED), recipe="pale",
        packaged_us=parse_instant("2026-03-20T09:00:00Z"), original_gravity=1.052,
        expected_final_gravity=(1.010, 1.014), expected_attenuation=(0.70, 0.80), forced_test_gravity=1.011,
        yeast_min_c=14.0, yeast_max_c=22.0, volume_l=19.0, hold_window_h=72, tolerance=0.002, caution="careful",
        gravity_reported="corrected", reference_c=15.56, sensor_expansion_per_k=0.0002, reading_interval_h=0.25,
        events=(
            Event(at_us=parse_instant("2026-03-05T18:00:00Z"), kind="addition", points=6.0),
            Event(at_us=parse_instant("2026-03-09T18:00:00Z"), kind="dry hop", note="in a bag"),
            Event(at_us=parse_instant("2026-03-10T18:00:00Z"), kind="sample", gravity=1.012, temperature_c=19.5),
        ),
    )  # fmt: skip


def test_one_expected_final_gravity_is_a_range_of_its_own(read: ReadBatches) -> None:
    assert read(LEAST + "expected_final_gravity = 1.012\n")[0].expected_final_gravity == (1.012, 1.012)


def test_a_packaged_event_says_the_same_as_the_key(read: ReadBatches) -> None:
    event = '[[batch.event]]\nkind = "packaged"\nat = 2026-03-20T10:00:00Z\n'
    (by_event,), (by_key,) = read(LEAST + event), read(LEAST + "packaged = 2026-03-20T10:00:00Z\n")
    assert by_event == by_key
    assert read(LEAST + "packaged = 2026-03-20T10:00:00Z\n" + event) == [by_key]
    with pytest.raises(UsageError, match="packaged is given twice, at different times"):
        read(LEAST + "packaged = 2026-03-21T10:00:00Z\n" + event)


def test_a_vessel_may_be_pitched_again_while_its_batch_is_open(read: ReadBatches) -> None:
    assert [b.name for b in read(LEAST + LEAST.replace("03-02", "03-09"))] == ["north-2026-03-02", "north-2026-03-09"]


def test_an_empty_file_has_no_batches(read: ReadBatches) -> None:
    assert read("") == []


VALUES = [
    ("original_gravity = 1052", "original_gravity is 1052, expected a number from 0.98 to 1.2; 1.052 was"),
    ("original_gravity = 0.979", "original_gravity is 0.979"),
    ("original_gravity = 1.201", "original_gravity is 1.201"),
    ("original_gravity = nan", "original_gravity is nan"),
    ("original_gravity = true", "original_gravity is True"),
    ('original_gravity = "1.05"', "original_gravity is '1.05', expected a number"),
    ("expected_final_gravity = [1.014, 1.010]", "a pair with the smaller number first"),
    ("expected_final_gravity = [1.010]", "a pair of numbers"),
    ("expected_attenuation = [70, 80]", "expected_attenuation is .70, 80., expected a number from 0 to 1.25"),
    ("expected_attenuation = 0.75", "a pair of numbers"),
    ("expected_attenuation = [0.7, 1.26]", "from 0 to 1.25"),
    ("hold_window_h = 23", "a whole number from 24 to 168 h"),
    ("hold_window_h = 169", "a whole number from 24 to 168 h"),
    ("hold_window_h = 48.5", "a whole number from 24 to 168 h"),
    ("tolerance = 0.0001", "a number from 0.0002 to 0.005 SG"),
    ("tolerance = 0.006", "a number from 0.0002 to 0.005 SG"),
    ('caution = "bold"', "one of careful, usual, brisk"),
    ('gravity_reported = "yes"', "one of uncorrected, corrected"),
    ('name = "North 12"', "name is 'North 12', expected an id|name is 'North 12', expected"),
    ("name = 12", "name is 12, expected a text"),
    ("recipe = 12", "recipe is 12, expected a text"),
    ("packaged = 2026-03-20T10:00:00", "packaged is 2026-03-20T10:00:00, expected a time with an offset"),
    ("packaged = 2026-03-20", "packaged is .*2026.*, expected a time with an offset"),
    ("packaged = 2026-03-02T09:00:00Z", "packaged lies before pitched|packaged is not after pitched"),
    ("original_gravity = 1.010\nexpected_final_gravity = 1.012", "is not below the original gravity"),
    ("original_gravity = 1.010\nforced_test_gravity = 1.010", "is not below the original gravity"),
    (
        'original_gravity = 1.050\n[[batch.event]]\nat = 2026-03-12T18:00:00Z\nkind = "forced test"\ngravity = 1.052',
        "forced test: gravity 1.052 is not below the original gravity 1.05: enter where the test ended",
    ),
    ("yeast_min_c = 22\nyeast_max_c = 14", "yeast_min_c is not below yeast_max_c"),
    ("event = 1", "event is 1, expected tables"),
    ("event = [1]", "event 1 is 1, expected a table"),
    ("original_gravty = 1.050", "unknown key 'original_gravty'; did you mean 'original_gravity'"),
    ("zzz = 1", "unknown key 'zzz'; known are vessel, name"),
]


@pytest.mark.parametrize(("line", "says"), VALUES)
def test_a_wrong_value_is_refused_naming_file_batch_and_key(read: ReadBatches, line: str, says: str) -> None:
    with pytest.raises(UsageError, match=says) as refused:
        read(LEAST + line + "\n")
    assert "batches.toml: batch 1: " in str(refused.value)


EVENTS = [
    ('kind = "dry hop"', "at is missing"),
    ("at = 2026-03-09T18:00:00Z", "kind is missing"),
    ('at = 2026-03-09T18:00:00Z\nkind = "dryhop"', "kind is 'dryhop', expected one of dry hop, addition"),
    ('at = 2026-03-09T18:00:00Z\nkind = "addition"', "points go with an addition"),
    ('at = 2026-03-09T18:00:00Z\nkind = "rouse"\npoints = 6', "points go with an addition"),
    ('at = 2026-03-09T18:00:00Z\nkind = "sample"', "gravity goes with a sample"),
    ('at = 2026-03-09T18:00:00Z\nkind = "rouse"\ngravity = 1.012', "gravity goes with a sample"),
    ('at = 2026-03-09T18:00:00Z\nkind = "rouse"\ntemperature_c = 20', "temperature_c goes with a sample"),
    ('at = 2026-03-01T18:00:00Z\nkind = "rouse"', "rouse is dated before the pitch"),
    ('at = 2026-03-01T08:59:00Z\nkind = "sample"\ngravity = 1.05', "sample is dated before the pitch; one of the wort"),
    ('at = 2026-03-09T18:00:00Z\nkind = "sample"\ngravity = 1.05\nbrix = 12', "gravity and brix do not go together"),
    ('at = 2026-03-09T18:00:00Z\nkind = "rouse"\nbrix = 12', "brix goes with a sample"),
    ('at = 2026-03-09T18:00:00Z\nkind = "sample"\nbrix = 6', "no gravity without the original gravity"),
    ('at = 2026-03-09T18:00:00Z\nkind = "sample"\nbrix = 6\ncalibrated_c = 20', "goes with a hydrometer that is not"),
    ('at = 2026-03-09T18:00:00Z\nkind = "sample"\ngravity = 1.01\ninstrument = "jar"', "'jar'; none is on record"),
    ('at = 2026-03-09T18:00:00Z\nkind = "rouse"\nnotes = "x"', "did you mean 'note'"),
]


@pytest.mark.parametrize(("lines", "says"), EVENTS)
def test_a_wrong_event_is_refused(read: ReadBatches, lines: str, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        read(f"{LEAST}[[batch.event]]\n{lines}\n")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[[batch]]\npitched = 2026-03-02T09:00:00Z\n", "batch 1: vessel is missing"),
        ('[[batch]]\nvessel = "north"\n', "batch 1: pitched is missing"),
        ("[[batch\n", "is not TOML"),
        ("[[batches]]\n", "expected nothing but tables headed"),
        ("[batch]\n", "expected nothing but tables headed"),
        ("batch = [1]\n", "batch 1 is 1, expected a table"),
        (LEAST + LEAST.replace("09:00", "10:00"), "2 batches are called 'north-2026-03-02'"),
        (LEAST + LEAST + 'name = "other"\n', "2 batches are pitched into vessel 'north' at the same moment"),
    ],
)
def test_a_wrong_file_is_refused(read: ReadBatches, text: str, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        read(text)


def test_a_file_that_cannot_be_read_is_another_matter(tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="cannot be read"):
        read_batches_file(tmp_path / "none.toml")
    latin = tmp_path / "latin.toml"
    latin.write_bytes('recipe = "Märzen"'.encode("latin-1"))
    with pytest.raises(UsageError, match="is not TOML"):
        read_batches_file(latin)


INSTRUMENT = (
    '[[instrument]]\nname = "jar"\ncalibrated_c = 15.56\ndivision = 1\nerror = 1.5\nchecked = 2026-03-01T09:00:00Z\n'
)
PRISM = '[[instrument]]\nname = "prism"\nkind = "refractometer"\n'
BY = "[[batch.event]]\nat = 2026-03-09T18:00:00Z\nkind = 'sample'\ninstrument = "


def test_instruments_come_with_every_batch_of_the_file(read: ReadBatches) -> None:
    (batch,) = read(PRISM + INSTRUMENT + LEAST + BY + '"jar"\ngravity = 1.012\n')
    assert batch.instruments == (
        Instrument(
            name="jar", calibrated_c=15.56, division=1.0, error=1.5, checked_us=parse_instant("2026-03-01T09:00:00Z")
        ),
        Instrument(name="prism", kind="refractometer", division=0.2),
    )


def test_a_sample_of_the_wort_may_come_before_its_pitch(read: ReadBatches) -> None:
    wort = "[[batch.event]]\nat = 2026-03-01T09:00:00Z\nkind = 'sample'\nbrix = 13\n"
    (batch,) = read(LEAST + wort + BY.replace("instrument = ", "brix = 6"))
    assert [event.brix for event in batch.events] == [13.0, 6.0]
    with pytest.raises(UsageError, match=r"the end 1\.06 is not below the original gravity 1\.05.*are the two swapped"):
        read(LEAST + "expected_final_gravity = 1.060\n" + wort)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            INSTRUMENT + LEAST + BY + '"jug"\ngravity = 1.012',
            "batch 1: sample: no instrument is called 'jug'; on record are jar",
        ),
        (
            PRISM + LEAST + BY + '"prism"\ngravity = 1.012',
            "'prism' is a refractometer, which shows °Bx; a gravity is not",
        ),
        (
            INSTRUMENT + LEAST + "original_gravity = 1.05\n" + BY + '"jar"\nbrix = 6',
            "'jar' is a hydrometer, which shows gravity; a number in °Bx is not",
        ),
        (INSTRUMENT + INSTRUMENT, "2 instruments are called 'jar'"),
        ("[[instrument]]\nkind = 'refractometer'", "instrument 1: name is missing"),
        (INSTRUMENT.replace("error = 1.5", "error = 15"), "error is 15, expected a number from -10 to 10 points"),
        (PRISM + "error = 3", r"error is 3, expected a number from -2.5 to 2.5 °Bx"),
        (PRISM + "calibrated_c = 20", "calibrated_c goes with a hydrometer"),
        (INSTRUMENT + "wort_factor = 1.04", "wort_factor goes with a refractometer"),
        (INSTRUMENT + 'kin = "x"', "did you mean 'kind'"),
        ("[instrument]\n", "expected nothing but tables headed"),
    ],
)
def test_a_wrong_instrument_is_refused(read: ReadBatches, text: str, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        read(text)


def test_a_sample_may_name_what_the_book_has(tmp_path: Path) -> None:
    path = tmp_path / "batches.toml"
    path.write_text(LEAST + BY + '"jar"\ngravity = 1.012\n', encoding="utf-8")
    (batch,) = read_batches_file(path, (Instrument(name="jar"),))
    assert batch.instruments == ()
