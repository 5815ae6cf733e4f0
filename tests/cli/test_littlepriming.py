"""A weight of priming that is hardly anything for the beer there is was most often meant in another unit."""

from __future__ import annotations

from pathlib import Path

import pytest

from lullwort.cli.gasvalues import weight_g
from lullwort.cli.littlepriming import refuse_little_priming
from lullwort.errors import UsageError
from lullwort.records import PackagingDay, SugarName
from lullwort.settings import Settings

GRAMS = Settings(Path("b"), "sg", "C", None)
COMMA = Settings(Path("b"), "sg", "C", None, decimal="comma")


def ask(text: str, settings: Settings = GRAMS, sugar: SugarName = "sucrose", volume_l: float | None = 17.0) -> None:
    day = PackagingDay(primed_g=weight_g(text, "--primed", settings), sugar=sugar)
    refuse_little_priming(text, day, volume_l, settings)


@pytest.mark.parametrize(
    ("text", "settings", "sugar", "says"),
    [
        ("4.2", GRAMS, "sucrose", "write 4.2oz, or 4.2g where that is meant"),
        ("1.18", GRAMS, "reserved-wort", "1.18kg, or 1.18g where that is meant"),
        ("1.180g", COMMA, "reserved-wort", "write 1180g, or 1,18g where that is meant"),
        ("1,180g", GRAMS, "reserved-wort", "write 1180g, or 1.18g where that is meant"),
        ("0.005", GRAMS, "sucrose", "hardly anything: write 0.005g where that is meant"),
    ],
)
def test_it_is_asked_after(text: str, settings: Settings, sugar: SugarName, says: str) -> None:
    with pytest.raises(UsageError) as error:
        ask(text, settings, sugar)
    assert says in str(error.value)


@pytest.mark.parametrize("text", ["4.2g", "1.18g", "4.2oz", "118", "0", "8.5"])
def test_with_its_unit_or_enough_of_it_it_is_believed(text: str) -> None:
    ask(text)


def test_where_no_volume_is_known_nothing_is_asked() -> None:
    ask("4.2", volume_l=None)
