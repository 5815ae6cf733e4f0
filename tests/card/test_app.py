"""The card's pages at a real socket."""

from __future__ import annotations

import re
import urllib.error
import urllib.request
from typing import Any

import pytest

Served = Any  # the fixture's class lives in conftest.py


def get(url: str) -> str:
    with urllib.request.urlopen(url, timeout=10) as answer:
        return str(answer.read().decode())


def test_the_vessel_that_needs_somebody_comes_first(served: Served) -> None:
    vessels = re.findall(r'href="/vessel/([a-z]+)"', get(f"{served.url}/"))
    assert vessels == ["stairs", "attic", "loft", "yard", "north", "east", "south", "pantry"]


@pytest.mark.parametrize("path", ["/vessel/nobody", "/batch/nobody", "/nothing", "/assets/card.css"])
def test_what_is_not_there_is_not_found(served: Served, path: str) -> None:
    with pytest.raises(urllib.error.HTTPError, match="404"):
        get(f"{served.url}{path}")


def test_style_and_script_are_found_where_a_page_says(served: Served) -> None:
    for path in re.findall(r'(?:href|src)="(/assets/[^"]+)"', get(f"{served.url}/vessel/north")):
        assert get(f"{served.url}{path}")


def test_a_part_of_a_curve_is_drawn_anew(served: Served) -> None:
    whole, part = get(f"{served.url}/batch/north-1/curve"), get(f"{served.url}/batch/north-1/curve?span=24h")
    assert whole.startswith('<section id="curve"')
    assert 'data-query="?span=24h"' in part
    assert len(part) < len(whole)
    assert part.split("data-moments")[1] in get(f"{served.url}/vessel/north?span=24h")


@pytest.mark.parametrize("path", ["/batch/north-1/curve", "/batch/north-1", "/vessel/north"])
def test_a_span_that_is_none_is_refused_with_what_one_looks_like(served: Served, path: str) -> None:
    with pytest.raises(urllib.error.HTTPError, match="400") as refused:
        get(f"{served.url}{path}?from=yesterday&to=now")
    assert "seconds since 1970" in refused.value.read().decode()
    with pytest.raises(urllib.error.HTTPError, match="404"):
        get(f"{served.url}/batch/nobody/curve")
