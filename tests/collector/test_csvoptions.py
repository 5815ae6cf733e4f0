from __future__ import annotations

import msgspec
import pytest

from lullwort.collector import CsvOptions
from lullwort.errors import UsageError


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"gravity_unit": "brix"}, "gravity unit is 'brix', expected one of sg, points, plato, kg_m3"),
        ({"temperature_unit": "R"}, "temperature unit is 'R', expected one of C, F, K"),
        ({"zone": "Middle/Earth"}, "zone is 'Middle/Earth', expected an IANA name"),
        ({"zone": "../etc"}, "expected an IANA name"),
        ({"zone": "Europe"}, "expected an IANA name"),
        ({"vessel": "North 1"}, "vessel: 'North 1' is not an id"),
    ],
)
def test_options_that_there_cannot_be_are_refused(wrong: dict[str, str], says: str) -> None:
    # Built as from settings or a command line, where nothing checks the types.
    with pytest.raises(UsageError, match=says):
        CsvOptions(**msgspec.convert(wrong, dict))
