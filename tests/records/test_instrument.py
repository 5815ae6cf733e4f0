"""How sure an instrument is, by what is known of it."""

from __future__ import annotations

import pytest

from lullwort.records import UNCHECKED_SD, Instrument


def test_a_check_makes_an_instrument_as_sure_as_one_look_at_it() -> None:
    new = Instrument(name="jar", division=1.0)
    assert new.error_sd == UNCHECKED_SD
    checked = Instrument(name="jar", division=1.0, checked_us=1)
    # 0.29 of a division and 0.3 points.
    assert checked.error_sd == checked.read_sd == pytest.approx(0.417, abs=0.001)
    assert Instrument(name="jar", division=2.0).read_sd > new.read_sd


def test_a_refractometer_counts_in_brix() -> None:
    new = Instrument(name="prism", kind="refractometer", division=0.2)
    assert new.read_sd == pytest.approx(0.116, abs=0.001)
    assert new.error_sd == 0.3
