from __future__ import annotations

import pytest

from lullwort.collector.forms import SENML, checked_form
from lullwort.errors import UsageError


def test_a_form_is_made_of_its_keys() -> None:
    form = checked_form(
        "form 'pill'",
        {"read": "json", "each": "/r", "fields": {"gravity": "/sg", "time": "/ts"}, "times": "unix", "gravity": "plato",
         "scale": {"gravity": 0.01}, "missing": [-1, "NA"]},
    )  # fmt: skip
    assert form.units.gravity == "plato"
    assert form.fields == {"gravity": "/sg", "time": "/ts"}
    assert form.understood != SENML.understood


@pytest.mark.parametrize(
    ("entered", "says"),
    [
        ({}, "read is missing"),
        ({"read": "xml"}, "read is 'xml', expected one of senml, json, number"),
        ({"read": "json"}, "expected one for gravity or temperature"),
        ({"read": "json", "fields": {"gravity": "sg"}}, "expected a JSON Pointer, which begins with /"),
        ({"read": "json", "fields": {"gravty": "/sg"}}, "expected JSON Pointers for time, vessel, gravity"),
        ({"read": "number"}, "quantity is missing"),
        ({"read": "senml", "each": "/x"}, "have no meaning unless read is 'json'"),
        ({"read": "number", "quantity": "gravity", "scale": {"gravity": 0}}, "expected factors above 0"),
        ({"read": "number", "quantity": "gravity", "zone": "Middle/Earth"}, "zone is 'Middle/Earth'"),
        ({"read": "number", "quantity": "gravity", "clok": "arrival"}, "unknown key 'clok'; did you mean 'clock'"),
    ],
)
def test_an_error_names_the_key_what_was_seen_and_what_was_expected(entered: dict[str, object], says: str) -> None:
    with pytest.raises(UsageError) as error:
        checked_form("form 'x'", entered)
    assert says in str(error.value)
    assert "form 'x'" in str(error.value)
