"""Instruments and sensors are kept, come with every batch, and change what judging rests on."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from lullwort.cellarbook import open_book
from lullwort.errors import BookDamagedError, RefusedError
from lullwort.records import Batch, Calibration, CalibrationPoint, Instrument, SensorTraits, TemperatureAnswer

JAR = Instrument(name="jar", calibrated_c=15.56, division=1.0, error=1.5, checked_us=7)
FLOAT = SensorTraits(
    name="float",
    calibration=Calibration(
        of="inclination",
        coefficients=(1.05, 0.06),
        covariance=((1e-8, 0.0), (0.0, 1e-8)),
        low=20.0,
        high=70.0,
        sd=0.4,
        freedom=1,
        points=(CalibrationPoint(raw=20.0, gravity=1.0), CalibrationPoint(raw=70.0, gravity=1.08, sd=0.5)),
        made_us=8,
    ),
    answer=TemperatureAnswer(points_per_k=0.3, sd=0.05, reference_c=20.0, hours=40, learned_us=9),
)


def test_what_is_kept_is_there_again_and_comes_with_every_batch(tmp_path: Path) -> None:
    with open_book(tmp_path / "book") as book:
        book.batches.put(Batch(vessel="north", name="n1", pitched_us=0))
        assert book.equipment.put_instrument(JAR)
        assert book.equipment.put_sensor(FLOAT)
    with open_book(tmp_path / "book") as book:
        assert (book.equipment.instruments(), book.equipment.sensors()) == ((JAR,), (FLOAT,))
        assert (book.batches.get("n1").instruments, book.batches.get("n1").sensors) == ((JAR,), (FLOAT,))


def test_the_latest_counts_and_what_is_kept_already_changes_nothing(tmp_path: Path) -> None:
    with open_book(tmp_path / "book") as book:
        before = book.revision()
        book.equipment.put_instrument(JAR)
        first = book.revision()
        assert not book.equipment.put_instrument(JAR)
        assert book.revision() == first != before
        better = msgspec.structs.replace(JAR, error=1.0)
        assert book.equipment.put_instrument(better)
        assert book.equipment.instruments() == (better,)
        assert book.revision() != first


def test_a_batch_entered_with_its_equipment_is_the_batch_without_it(tmp_path: Path) -> None:
    with open_book(tmp_path / "book") as book:
        book.equipment.put_instrument(JAR)
        book.batches.put(Batch(vessel="north", name="n1", pitched_us=0))
        assert not book.batches.put(book.batches.get("n1"))


def test_an_entry_that_is_none_tells_damage(tmp_path: Path) -> None:
    with open_book(tmp_path / "book") as book:
        book.equipment.put_instrument(JAR)
        with book._database.write():
            book._database.run("UPDATE instrument SET entered = ?", ("{}",))
        with pytest.raises(BookDamagedError):
            book.equipment.instruments()


def test_a_file_contradicts_the_book_in_what_an_instrument_is_but_not_in_its_check(tmp_path: Path) -> None:
    with open_book(tmp_path / "book") as book:
        assert book.equipment.enter_instrument(JAR)
        never = msgspec.structs.replace(JAR, error=0.0, checked_us=None)
        assert not book.equipment.enter_instrument(never)
        later = msgspec.structs.replace(JAR, error=1.0, checked_us=9)
        assert book.equipment.enter_instrument(later)
        assert not book.equipment.enter_instrument(JAR)
        assert book.equipment.instruments() == (later,)
        other = msgspec.structs.replace(JAR, calibrated_c=20.0)
        with pytest.raises(RefusedError, match=r"calibrated_c is 15\.56 on record, 20\.0 now"):
            book.equipment.enter_instrument(other)
        assert book.equipment.enter_instrument(other, update=True)
        assert book.equipment.instruments() == (other,)
