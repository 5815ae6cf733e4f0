"""The units that a browser has chosen."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlencode

import pytest
from starlette.requests import Request

from lullwort.card.pages.chosen import COOKIE, chosen_settings, unit_options
from lullwort.settings import Settings

SERVICE = Settings(book=Path("b"), gravity="points", temperature="F", zone=None, weight="oz")


def asking(cookie: str) -> Request:
    return Request({"type": "http", "headers": [(b"cookie", f'{COOKIE}="{cookie}"'.encode())]})


def test_what_nobody_chose_is_as_the_service_has_it() -> None:
    chosen = chosen_settings(Request({"type": "http", "headers": []}), SERVICE)
    assert (chosen.gravity, chosen.temperature, chosen.weight, chosen.zone) == ("points", "F", "oz", "UTC")


def test_each_bad_value_is_left_out_and_the_others_hold() -> None:
    bad = {
        "gravity": "brix",
        "temperature": "C",
        "zone": "../etc/passwd",
        "volume": "us-gal",
        "book": "/x",
        "decimal": "locale",
    }
    chosen = chosen_settings(asking(urlencode(bad)), SERVICE)
    assert (chosen.gravity, chosen.temperature, chosen.zone, chosen.volume) == ("points", "C", "UTC", "us gal")
    assert chosen.book == Path("b")
    assert chosen.decimal == "point"


@pytest.mark.parametrize("cookie", ["", "%", "=&=", "gravity", "x" * 10_000, "zone=" + "a" * 300])
def test_nonsense_changes_nothing(cookie: str) -> None:
    assert chosen_settings(asking(cookie), SERVICE).units == chosen_settings(asking(""), SERVICE).units


def test_a_command_is_told_all_of_them() -> None:
    chosen = chosen_settings(
        asking(urlencode({"volume": "imp-gal", "carbonation": "g/L", "decimal": "comma"})), SERVICE
    )
    assert unit_options(chosen) == [
        "--gravity=points", "--temperature=F", "--zone=UTC", "--volume-unit=imp-gal", "--carbonation-unit=g/L",
        "--pressure-unit=bar", "--weight-unit=oz", "--decimal=comma",
    ]  # fmt: skip
