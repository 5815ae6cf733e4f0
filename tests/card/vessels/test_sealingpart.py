"""What the beer would come to if it were sealed today, in whichever container."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from html import unescape

import msgspec
import pytest

from lullwort.card.curve.shown import Shown
from lullwort.card.known.facts import VesselFacts
from lullwort.card.known.sealedtoday import sealed_today
from lullwort.card.vessels.sealingpart import sealing_part
from lullwort.detector import Units
from lullwort.records import PackagingDay
from lullwort.standing import sealed_now

UNITS = Units(zone="UTC")
Facts = Mapping[str, VesselFacts]
Words = Callable[[str], str]


def told(facts: VesselFacts, container: str = "", units: Units = UNITS) -> str:
    assert facts.batch is not None
    return sealing_part(facts.batch.sealed, Shown(container=container), "/vessel/x", units)


def test_the_usual_container_says_what_the_terminal_says(vessels: Facts, words: Words) -> None:
    for name in ("north", "east", "stairs", "attic", "yard", "south", "pantry"):
        facts = vessels[name]
        assert facts.batch is not None
        assert sealed_now(facts.batch.judged, UNITS) in words(told(facts))


def test_another_container_has_its_own_limit(vessels: Facts, words: Words) -> None:
    usual, keg = words(told(vessels["north"])), words(told(vessels["north"], "keg"))
    assert "kept at about at most limit margin 5 °C 0.0 bar 0.0 bar 2.4 bar 2.4 bar" in usual
    assert "5 °C 0.0 bar 0.0 bar 5.9 bar 5.9 bar" in keg
    assert "Bottles can burst: keep filled ones in a closed crate" in usual
    assert "A keg needs a relief valve that works" in keg
    assert '<option value="keg" selected>' in told(vessels["north"], "keg")


def test_where_the_limit_may_be_exceeded_a_word_says_so(vessels: Facts, words: Words) -> None:
    assert "40 °C 1.8 bar 3.3 bar 2.4 bar may burst -0.9 bar" in words(told(vessels["stairs"]))


@pytest.mark.parametrize(
    ("vessel", "container", "why"),
    [
        ("pantry", "", "Sealed now, nearly all of it would still ferment, far beyond what a bottle holds."),
        ("south", "", "Sealed now: far more than any bottle holds."),
        ("north", "growler", "nothing may ferment in growlers."),
    ],
)
def test_no_pressure_is_shown_where_none_can_be_reckoned(
    vessel: str, container: str, why: str, vessels: Facts, words: Words
) -> None:
    html = told(vessels[vessel], container)
    assert why in words(html)
    assert "<table" not in html


def test_an_unknown_container_is_told_and_the_own_one_shown(vessels: Facts) -> None:
    html = told(vessels["north"], "<b>barrel")
    assert "No container is called '<b>barrel': this is of the batch's own." in unescape(html)
    assert "<b>" not in html
    assert '<option value="brown-glass" selected>' in html


def test_nothing_is_reckoned_twice(vessels: Facts) -> None:
    facts = vessels["north"].batch
    assert facts is not None
    assert facts.sealed is not None
    assert facts.sealed.of("keg") is facts.sealed.of("keg")


def test_a_limit_that_was_stated_is_kept_for_the_own_container_alone(vessels: Facts, words: Words) -> None:
    facts = vessels["north"].batch
    assert facts is not None
    day = PackagingDay(container="plastic", limit_bar=5.0)
    sealed = sealed_today(facts.judged._replace(batch=msgspec.structs.replace(facts.batch, packaging_day=day)))
    own = sealing_part(sealed, Shown(), "/vessel/x", UNITS)
    assert "5 °C 0.0 bar 0.7 bar 5.0 bar 4.3 bar" in words(own)
    assert '<option value="plastic" selected>plastic bottles, as entered' in own
    assert words(sealing_part(sealed, Shown(container="plastic"), "/vessel/x", UNITS)) == words(own)
    assert "2.4 bar" in words(sealing_part(sealed, Shown(container="brown-glass"), "/vessel/x", UNITS))


def test_there_is_nothing_to_seal_of_what_is_packaged_or_not_known(odd_vessels: Facts) -> None:
    for name in ("proved", "split", "unheard"):
        facts = odd_vessels[name].batch
        assert facts is not None
        assert facts.sealed is None
