"""The page of all vessels."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import get_args

import msgspec
import pytest

from lullwort.card import Cellar, Tended
from lullwort.card.known.facts import VesselFacts
from lullwort.card.vessels.overview import overview
from lullwort.cellarbook import open_book
from lullwort.detector import Units, Verdict
from lullwort.records import HOUR_US, Alert, AlertKind

UNITS = Units(zone="UTC")
Facts = Mapping[str, VesselFacts]
Words = Callable[[str], str]
SOON = 2**50
"""[µs] In 2005, so that nothing has been packaged long ago."""
WORST_FIRST = (
    "moving again", "stalled", "unclear", "too cold", "ready", "holding", "fermenting", "lag", "packaged",
)  # fmt: skip


def row(page: str, vessel: str) -> str:
    """What stands of one vessel."""
    (found,) = re.findall(rf'<li class="vessel"[^>]*>(?:(?!</li>).)*href="/vessel/{vessel}".*?</li>', page)
    return str(found)


def test_every_verdict_has_its_place_from_worst_to_best(vessels: Facts, odd_vessels: Facts) -> None:
    both = {**vessels, **odd_vessels}
    page = "".join(overview(list(both.values()), UNITS, SOON))
    shown = re.findall(r'<h3><a href="/vessel/([^"]+)"', page)
    batches = [both[name].batch for name in shown]
    verdicts: list[Verdict] = ["unclear" if batch is None else batch.judged.verdict for batch in batches]
    assert set(verdicts) == set(get_args(Verdict))
    assert len(shown) == len(both)
    dangerous = [batch is not None and batch.sheet.danger.any for batch in batches]
    assert dangerous == sorted(dangerous, reverse=True)
    safe = [verdict for verdict, dangers in zip(verdicts, dangerous, strict=True) if not dangers]
    assert safe == sorted(safe, key=WORST_FIRST.index)


def test_what_can_hurt_somebody_stands_above_all_else_and_is_named_at_the_top(
    vessels: Facts, odd_vessels: Facts, words: Words
) -> None:
    both = [*vessels.values(), *odd_vessels.values()]
    page = "".join(overview(both, UNITS, SOON))
    assert re.findall("<h2>(.*?)</h2>", page) == [
        "Danger", "Needs somebody", "May be packaged", "Under way", "Packaged",
    ]  # fmt: skip
    danger = page[page.index("<h2>Danger</h2>") : page.index("<h2>Needs somebody</h2>")]
    assert re.findall(r'<h3><a href="/vessel/([^"]+)"', danger) == ["unproved"]
    top = page[: page.index("<h2>")]
    assert '<strong class="danger">Danger: <a href="/vessel/unproved">unproved</a>.</strong>' in top
    assert f"{len(both)} vessels: 1 can hurt somebody," in words(top)
    assert sum(map(int, re.findall(r"[:,] (\d+) ", words(top)))) == len(both)
    assert "Danger" not in "".join(overview(list(vessels.values()), UNITS, SOON))


def test_each_vessel_has_the_answer_why_what_comes_next_and_when_it_was_heard(vessels: Facts, words: Words) -> None:
    page = "".join(overview(list(vessels.values()), UNITS, SOON))
    assert words(row(page, "stairs")).startswith("stairs stairs-1 No moving again since 20 Aug 10:00")
    assert "Do not package. If bottles are filled already, keep them cold" in words(row(page, "stairs"))
    assert "May it be packaged? 8 vessels: 4 need somebody, 1 may be packaged, 3 under way." in words(page)
    ready = words(row(page, "north"))
    assert "Yes ready since 1 Jul 16:00 Gravity has held still at 1.0087, where this beer should end." in ready
    assert "Before sealing, confirm with one degassed hand reading" in ready
    held = row(page, "east")
    assert "Not yet holding since 24 Jul 05:00" in words(held)
    assert "Likely ready Monday, at the latest Thursday (9 in 10 sure)" in words(held)
    assert "Last heard Sat 25 Jul 2026 05:57 UTC." in words(held)
    assert '<time datetime="2026-07-25T05:57:41Z" class="heard">' in held


def test_a_vessel_without_a_batch_leads_to_where_one_is_opened(vessels: Facts, words: Words) -> None:
    loft = row("".join(overview(list(vessels.values()), UNITS, SOON)), "loft")
    assert "Cannot tell no batch It has readings, but no batch is open for them. Open its batch" in words(loft)
    assert 'href="/vessel/loft/open"' in loft


def test_what_stands_is_told_and_what_is_over_is_not(own_cellar: Path, words: Words) -> None:
    def alert(kind: AlertKind, about: str, batch: str = "") -> Alert:
        return Alert(kind=kind, about=about, on=True, at_us=10**15, vessel="east", batch=batch, title="T", says="S")

    standing = [
        alert("too warm", "east-1", "east-1"), alert("stalled", "east-0", "east-0"),
        alert("points left", "east-1", "east-1"), alert("battery low", "float"),
    ]  # fmt: skip
    with open_book(own_cellar, create=False) as book:
        book.outbox.put(standing, ["broker"], 0)
        facts = Cellar(book, lambda: Tended({}, ""), lambda: SOON).vessel("east")
    assert facts is not None
    said = words("".join(overview([facts], UNITS, SOON)))
    told = re.search(r"Alert: (.*?) Last", said)
    assert told is not None
    assert sorted(told[1].split(", ")) == ["battery low since 9 Sep 01:46", "too warm since 9 Sep 01:46"]
    assert "points left since" not in said


def test_an_empty_cellar_says_what_to_do_first(words: Words) -> None:
    page = "".join(overview([], UNITS, SOON))
    assert "Nothing is in the cellar. What to do first Here stands, for every vessel" in words(page)
    assert 'href="/import"' in page


def test_a_batch_can_be_opened_from_the_front_page_whatever_is_in_the_cellar(vessels: Facts) -> None:
    empty, full = "".join(overview([], UNITS, SOON)), "".join(overview(list(vessels.values()), UNITS, SOON))
    assert [page.count('href="/open"') for page in (empty, full)] == [2, 1]
    assert 'Without a sensor, <a href="/open">open the batch</a> first' in empty


def test_that_nothing_is_stored_is_told_before_all_else(vessels: Facts, words: Words) -> None:
    page = "".join(overview(list(vessels.values()), UNITS, SOON, failing="The disk is full."))
    assert words(page).startswith("Nothing is stored. The disk is full. What stands here may be out of date")
    assert 'role="alert"' in page
    assert "Nothing is stored" not in "".join(overview(list(vessels.values()), UNITS, SOON))


def test_what_was_packaged_long_ago_stands_apart_unless_something_is_to_be_done(odd_vessels: Facts) -> None:
    later_us = max(facts.heard_us or 0 for facts in odd_vessels.values()) + 60 * 24 * HOUR_US
    page = "".join(overview(list(odd_vessels.values()), UNITS, later_us))
    shown, apart = page.split('<section id="long-ago"')
    assert re.findall(r'href="/vessel/([^"/]+)"', apart) == ["proved"]
    assert "Its log goes on without a batch" in row(shown, "goes-on")
    assert "Danger. It was not proved" in row(shown, "unproved")


def test_by_hand_the_last_sample_counts_as_heard(odd_vessels: Facts, words: Words) -> None:
    page = "".join(overview(list(odd_vessels.values()), UNITS, SOON))
    assert "No sensor was heard. Last hand sample Wed 29 Jul 2026 21:00 UTC." in words(row(page, "by-hand"))
    assert "No reading yet." in words(row(page, "unheard"))
    assert "Nothing was heard since it was pitched; before that last" in words(row(page, "refilled"))


@pytest.mark.parametrize(
    ("units", "says"),
    [
        (Units(gravity="plato", decimal="comma", zone="UTC"), "Gravity is 3,66 °P and seems to hold"),
        (Units(gravity="points", zone="UTC"), "Gravity is 14.3 points and seems to hold"),
    ],
)
def test_numbers_are_in_the_units_asked_for(units: Units, says: str, vessels: Facts, words: Words) -> None:
    assert says in words("".join(overview([vessels["east"]], units, SOON)))


def test_a_zone_moves_every_moment_shown_and_none_that_is_read_by_scripts(vessels: Facts) -> None:
    berlin = msgspec.structs.replace(UNITS, zone="Europe/Berlin")
    here, there = ("".join(overview([vessels["east"]], units, SOON)) for units in (UNITS, berlin))
    assert "07:57 CEST" in there
    assert re.findall(r'datetime="[^"]+"', here) == re.findall(r'datetime="[^"]+"', there)
