"""Amounts as brewers type them."""

from __future__ import annotations

from pathlib import Path

import pytest

from lullwort.cli.amounts import per_cent_within, volume_sd_l, weighed
from lullwort.detector import Units
from lullwort.errors import UsageError
from lullwort.settings import Settings

SETTINGS = Settings(Path("b"), "sg", "C", None)


@pytest.mark.parametrize(
    ("text", "name", "kg"),
    [
        ("500g sucrose", "sucrose", 0.5),
        ("500gsugar", "sucrose", 0.5),
        ("0,5 kg Table-Sugar", "sucrose", 0.5),
        ("1 lb dextrose", "dextrose", 0.45359237),
        ("8oz corn-sugar", "dextrose", 0.2267962),
        ("1kg dme", "dry-malt-extract", 1.0),
        ("2 kg fruit 12%", "fruit", 2.0),
        ("1 kg honey", "honey", 1.0),
        ("2L water", "water", 1.9964),
        ("2 kg water", "water", 2.0),
        ("1 us gal water", "water", 3.7786),
    ],
)
def test_an_amount_is_understood(text: str, name: str, kg: float) -> None:
    thing = weighed(text, "--added", SETTINGS)
    assert thing.ingredient.name == name
    assert thing.mass_kg == pytest.approx(kg, abs=1e-4)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("sucrose", "expected a weight and what it is of"),
        ("500 sucrose", "expected g, kg, lb or oz"),
        ("2L honey", "only water goes by volume"),
        ("500g sucros", "did you mean sucrose?"),
        ("500g hops", "expected one of sucrose"),
        ("0g sucrose", "more than nothing"),
        ("-5g sucrose", "more than nothing"),
        ("2kg fruit 120%", "at most 97 % of sugar"),
        ("0L water", "more than nothing"),
        ("1 gal water", "may be US or imperial gallons"),
    ],
)
def test_what_is_no_amount_is_told_with_what_was_meant(text: str, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        weighed(text, "--added", SETTINGS)


def test_an_amount_is_told_in_the_brewers_units() -> None:
    comma = Units(decimal="comma", volume="us gal")
    assert weighed("1,5kg honey", "--added", SETTINGS).says(comma) == "1,5 kg of honey"
    assert weighed("1 us gal water", "--added", SETTINGS).says(comma) == "1,0 US gal of water"
    assert weighed("250g dry-malt-extract", "--added", SETTINGS).says(Units()) == "250 g of dry malt extract"


def test_how_sure_amounts_are_is_stated_or_usual() -> None:
    # 1.645 standard deviations hold 9 in 10.
    assert volume_sd_l("0.5L", 19.0, "--volume-within", SETTINGS) == pytest.approx(0.5 / 1.645)
    assert volume_sd_l(None, 20.0, "--volume-within", SETTINGS) == pytest.approx(0.4)
    assert per_cent_within("2%", "--weights-within") == pytest.approx(0.02 / 1.645)
    assert per_cent_within(None, "--weights-within") == pytest.approx(0.01)
