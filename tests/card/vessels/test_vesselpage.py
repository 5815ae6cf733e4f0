"""The page of one vessel, for every kind of batch."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping
from html.parser import HTMLParser
from pathlib import Path

import msgspec
import pytest

from lullwort.analysis import LONE_SPIKE
from lullwort.card import Cellar, Tended
from lullwort.card.curve.shown import Shown
from lullwort.card.known.facts import VesselFacts
from lullwort.card.vessels.overview import overview
from lullwort.card.vessels.vesselpage import batch_page, page_title, vessel_page
from lullwort.cellarbook import open_book
from lullwort.detector import CHECKS, ShownGravity, Units
from lullwort.records import Alert, Batch, Event, PackagingDay, as_drill

UNITS = Units(zone="UTC")
MINUTE_US = 60_000_000
Facts = Mapping[str, VesselFacts]
Words = Callable[[str], str]
PARTS = [
    "failing", "title", "danger", "answer", "alerts", "contents", "why", "next", "curve", "ledger", "sealed", "done",
    "figures", "history", "heard", "others", "ways",
]  # fmt: skip


def page(facts: VesselFacts, units: Units = UNITS, container: str = "") -> str:
    return "".join(vessel_page(facts, units, told_us(facts), shown=Shown(container=container)))


def told_us(facts: VesselFacts) -> int:
    """[µs] Some minutes after it was heard last, as the clock of the cellar stands."""
    return (facts.heard_us or 0) + 7 * MINUTE_US


def part(of: str, name: str) -> str:
    """One part of a page; empty where it says nothing."""
    found = re.search(rf'<section id="{name}" data-part="{name}"(?P<unseen> hidden)?.*?</section>', of, re.DOTALL)
    assert found is not None, name
    return "" if found["unseen"] else found[0]


class _Outline(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.ranks: list[int] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert not {name for name, _ in attrs if name == "style" or name.startswith("on")}
        assert tag not in {"script", "style", "img"}
        self.ids += [value or "" for name, value in attrs if name == "id"]
        self.ranks += [int(tag[1])] if re.fullmatch("h[1-6]", tag) else []
        self.open += [tag] if tag != "br" else []

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_every_page_is_sound_html_with_the_same_parts(vessels: Facts, odd_vessels: Facts) -> None:
    for facts in (*vessels.values(), *odd_vessels.values()):
        html = page(facts)
        outline = _Outline()
        outline.feed(html)
        assert outline.open == []
        assert len(outline.ids) == len(set(outline.ids)), facts.vessel
        assert outline.ranks[0] == 1
        assert all(after <= before + 1 for before, after in zip(outline.ranks, outline.ranks[1:], strict=False))
        parts = re.findall(r'data-part="([^"]+)"', html)
        assert parts == (["failing", "title", "answer", "alerts", "next", "heard"] if facts.batch is None else PARTS)


def test_the_answer_comes_first_with_since_when_and_as_of_when(vessels: Facts, words: Words) -> None:
    html = page(vessels["north"])
    assert words(part(html, "title")) == "Vessel north May north-1 be packaged?"
    assert words(part(html, "answer")) == "Yes ready since Wed 1 Jul 2026 16:00 UTC. As of Tue 7 Jul 2026 15:50 UTC."
    why = words(part(html, "why"))
    assert why.startswith("Why Gravity has held still at 1.0087, where this beer should end.")
    assert "What changes it Taken back by a dry hop" in why
    assert "Strength Strength so far 4.6 % by volume (4.2 to 5.0), from 1.044 to 1.0087." in why
    facts = vessels["north"].batch
    assert facts is not None
    assert page_title(facts) == "Yes: north-1"


def noted(book: Path, vessel: str, kind: str, *, minutes: int) -> tuple[VesselFacts, int]:
    """A vessel after something was noted so long after it was heard last, and when that is seen [µs]."""
    with open_book(book) as opened:
        (batch,) = opened.batches.all(vessel)
        at_us = (opened.newest_us(vessel) or 0) // MINUTE_US * MINUTE_US + minutes * MINUTE_US
        event = msgspec.convert({"at_us": at_us, "kind": kind}, Event)
        opened.batches.put(msgspec.structs.replace(batch, events=(*batch.events, event)))
        now_us = at_us + 2 * MINUTE_US
        facts = Cellar(opened, lambda: Tended({}, ""), lambda: now_us).vessel(vessel)
    assert facts is not None
    return facts, now_us


def test_what_was_noted_after_the_judged_hour_stands_right_below_the_answer(own_cellar: Path, words: Words) -> None:
    facts, now_us = noted(own_cellar, "north", "dry hop", minutes=5)
    html = "".join(vessel_page(facts, UNITS, now_us))
    says = "Noted since: dry hop at 15:55; it counts from 16:00 on. Do not package on this answer."
    answer = part(html, "answer")
    assert words(answer).startswith("Yes ready since")
    assert words(answer).endswith(f"As of Tue 7 Jul 2026 15:50 UTC. {says}")
    assert f'<p class="danger">{says}' in answer
    assert says in answer[: answer.index(">Yes<")]  # and it is read out when it comes
    assert words(part(html, "next")).startswith("What to do next Wait, and package nothing: the proof begins anew")
    row = "".join(overview([facts], UNITS, now_us))
    assert f'</p></div><div class="more"><p class="danger">{says}' in row
    assert says in row[: row.index('class="who"')]


def test_what_undoes_nothing_is_told_without_alarm(own_cellar: Path, words: Words) -> None:
    facts, now_us = noted(own_cellar, "north", "crash", minutes=5)
    answer = part("".join(vessel_page(facts, UNITS, now_us)), "answer")
    assert words(answer).endswith("Noted since: crash at 15:55; it counts from 16:00 on.")
    assert "danger" not in answer


def test_no_page_tells_a_moment_that_has_not_come(own_cellar: Path, words: Words) -> None:
    facts, now_us = noted(own_cellar, "north", "dry hop", minutes=12)  # in an hour in which nothing was heard
    both = words("".join(vessel_page(facts, UNITS, now_us))), words("".join(overview([facts], UNITS, now_us)))
    assert "No holding since Tue 7 Jul 2026 16:04 UTC. As of Tue 7 Jul 2026 16:04 UTC." in both[0].replace(
        "Not yet", "No"
    )
    assert "7 Jul 16:04" in both[1]
    assert not [said for said in both if re.search("7 Jul (2026 )?17:00", said)]


def test_a_batch_just_opened_waits_for_its_first_reading_and_says_how_one_comes(tmp_path: Path, words: Words) -> None:
    now_us = 1_700_000_000_000_000
    with open_book(tmp_path / "new.book") as book:
        book.batches.put(Batch(vessel="new", name="new-1", pitched_us=now_us - 90 * MINUTE_US))
        facts = Cellar(book, lambda: Tended({}, ""), lambda: now_us).vessel("new")
    assert facts is not None
    html = "".join(vessel_page(facts, UNITS, now_us))
    assert words(part(html, "answer")).startswith("Cannot tell waits for its first reading.")
    assert "It says itself that it floats in new, or the settings say so below [sensor.NAME]" in words(html)
    assert "Cannot tell waits for its first reading" in words("".join(overview([facts], UNITS, now_us)))
    later = words("".join(vessel_page(facts, UNITS, now_us + 300 * MINUTE_US)))
    assert "Cannot tell unclear" in later
    assert "sends to the broker" not in later


def test_an_answer_by_readings_that_ended_long_ago_says_so_and_stands_back(vessels: Facts, words: Words) -> None:
    facts = vessels["north"]
    assert facts.heard_us is not None
    later_us = facts.heard_us + 136 * 24 * 60 * MINUTE_US + 1
    answer = part("".join(vessel_page(facts, UNITS, later_us)), "answer")
    says = "ready since Wed 1 Jul 2026 16:00 UTC, by readings that ended 136 days ago."
    assert words(answer).startswith(f"Yes {says}")
    assert 'class="word old"' in answer
    row = "".join(overview([facts], UNITS, later_us))
    assert "Yes ready since 1 Jul 16:00, by readings that ended 136 days ago" in words(row)
    assert 'class="word old"' in row
    assert "readings that ended" not in page(facts) + "".join(overview([facts], UNITS, told_us(facts)))


def test_a_batch_that_is_packaged_or_judged_by_hand_needs_no_live_readings(odd_vessels: Facts) -> None:
    for name in ("proved", "by-hand", "unheard"):
        html = "".join(vessel_page(odd_vessels[name], UNITS, 2**51))
        assert "readings that ended" not in html


def test_the_parts_of_a_long_page_are_listed_at_its_top(vessels: Facts, odd_vessels: Facts) -> None:
    for facts in (*vessels.values(), *odd_vessels.values()):
        html = page(facts)
        if facts.batch is None:
            assert "On this page" not in html
            continue
        assert '<nav aria-label="On this page">' in part(html, "contents")
        links = re.findall(r'<a href="#([^"]+)">([^<]+)</a>', part(html, "contents"))
        assert (
            links
            == re.findall(r'<section id="([^"]+)"[^>]* aria-labelledby[^>]*><h2[^>]*>([^<]+)</h2>', html)[
                len(re.findall("<h2 id=.alerts-head", html)) :
            ]
        )
        assert {"why", "next", "ways"} <= {name for name, _ in links}


def test_what_is_foreseen_stands_with_why(vessels: Facts, words: Words) -> None:
    assert "Foreseen Likely ready" in words(part(page(vessels["south"]), "why"))


def test_the_ledger_tells_of_each_check_all_that_there_is(vessels: Facts, words: Words) -> None:
    ledger = part(page(vessels["stairs"]), "ledger")
    assert re.findall("<h3>(.*?)</h3>", ledger) == list(CHECKS)
    said = words(ledger)
    assert "flat ✗ does not hold measured over 3 proving hours limit over at least 48 proving hours since" in said
    assert "warm enough ✓ holds measured 19.7 °C limit at least 14.1 °C since" in said
    assert said.count("What would turn it") == len(CHECKS)
    assert "Cold yeast rests, however much is left for it" in said


def test_every_change_opens_to_its_reason_and_its_evidence(vessels: Facts, words: Words) -> None:
    history = part(page(vessels["stairs"]), "history")
    facts = vessels["stairs"].batch
    assert facts is not None
    changes = re.findall(r'<details id="was-(\d+)"><summary><span><b>(.*?)</b>.*?</details>', history)
    assert changes == [(str(nth), change.verdict) for nth, change in enumerate(facts.judged.history)][::-1]
    assert history.count('class="then"') == len(changes)
    assert "ready Sat 8 Aug 2026 14:00 UTC Gravity has held still at" in words(history)


@pytest.mark.parametrize(
    ("vessel", "says"),
    [
        ("proved", "Done packaged Tue 4 Aug 2026 06:00 UTC."),
        ("unproved", "Danger. It was not proved that this beer had ended. Keep what is filled cold"),
        ("goes-on", "has gone on since Tue 4 Aug 2026 06:00 UTC without a batch. If another beer is in it, open its"),
        ("lost", "The sensor was heard last by Tue 21 Jul 2026 12:00 UTC: what is said of the beer"),
        ("sealed", "have fallen in the sealed vessel: it holds about 1.3 (at most 2.0) volumes of CO2 already"),
        ("split", "Another batch seems to have begun in this vessel"),
        ("cold-log", "The log gives no temperature, without which no gravity in it can be corrected or judged."),
        ("wrong-unit", "Evidence Nothing could be measured, so the seven checks tell nothing."),
        ("by-hand", "By the two-day rule (the same reading twice, two days apart) it is finished, too."),
        ("unheard", "Draw a sample now: the beer has ended with a chance of 9 in 10"),
    ],
)
def test_batches_out_of_the_ordinary_are_told_as_they_are(
    vessel: str, says: str, odd_vessels: Facts, words: Words
) -> None:
    assert says in words(page(odd_vessels[vessel]))


def test_a_packaged_batch_has_the_evidence_of_then_and_nothing_to_turn_or_seal(
    odd_vessels: Facts, words: Words
) -> None:
    html = page(odd_vessels["proved"])
    assert words(part(html, "ledger")).startswith("Evidence when it was packaged Gravity must hold still for a number")
    assert "Others do not count. flat ✓ holds" in words(part(html, "ledger"))
    assert "What would turn it" not in words(html)
    assert part(html, "sealed") == ""
    assert "Until then it was ready, since" in words(part(html, "why"))


def test_what_the_danger_says_is_not_said_again(odd_vessels: Facts, words: Words) -> None:
    html = page(odd_vessels["unproved"])
    assert html.index('id="danger"') < html.index('id="answer"')
    assert words(part(html, "next")) == (
        "What to do next What the danger above says comes before all else. Get its batch sheet"
    )


def test_commands_become_ways_to_pages_and_stay_at_hand(odd_vessels: Facts, words: Words) -> None:
    todo = part(page(odd_vessels["split"]), "next")
    assert [link.partition("?")[0] for link in re.findall(r'href="([^"]+)"', todo)] == [
        "/batch/split-1/close", "/vessel/split/open", "/batch/split-1/note",
    ]  # fmt: skip
    assert "lullwort" not in words(re.sub("<details.*?</details>", "", todo, flags=re.DOTALL))
    assert "lullwort batch close batch:split-1 --packaged" in todo


def test_a_batch_that_was_never_closed_is_over_once_another_is_in_its_vessel(odd_cellar: Path, words: Words) -> None:
    with open_book(odd_cellar, create=False) as book:
        cellar = Cellar(book, lambda: Tended({}, ""), lambda: book.newest_us("refilled") or 0)
        facts, vessel = cellar.batch("refilled-1"), cellar.vessel("refilled")
        assert facts is not None
        html = "".join(batch_page(facts, UNITS, facts.judged.as_of_us, vessel=vessel))
    assert "Over was fermenting since" in words(part(html, "answer"))
    assert "This one is over: refilled-2 is in the vessel now." in words(part(html, "title"))
    assert words(part(html, "next")) == (
        "What to do next It was never closed, and another batch is in its vessel. If it was packaged, enter when. "
        "Close refilled-1"
    )
    assert "Other batches in refilled refilled-2 pitched" in words(part(html, "others"))
    assert page_title(facts) == "Over: refilled-1"
    assert part(html, "sealed") == ""


def test_what_somebody_wrote_is_text_and_nothing_else(odd_vessels: Facts) -> None:
    html = page(odd_vessels["hostile"])
    assert "<script" not in html
    assert "<img" not in html
    assert html.count("&lt;script&gt;alert(1)&lt;/script&gt;") == 2


def test_entries_are_corrected_from_where_they_stand(vessels: Facts) -> None:
    shown = page(vessels["east"])
    assert '<a href="/batch/east-1/edit">Correct the entries</a>' in part(shown, "ways")
    assert re.search(r'<dt>original</dt><dd>(?:(?!</dd>).)* <a href="/batch/east-1/edit">correct it</a></dd>', shown)


def test_what_was_done_is_numbered_as_on_the_curve(odd_vessels: Facts, words: Words) -> None:
    assert "1 19 Jul 20:00 dry hop Ella 2 21 Jul 02:00 remark" in words(part(page(odd_vessels["hostile"]), "done"))
    assert "◇ 25 Jul 15:00 sample: 1.0130, read at 20.2 °C" in words(part(page(odd_vessels["by-hand"]), "done"))


def test_readings_that_do_not_count_are_told_with_their_reasons(vessels: Facts, words: Words) -> None:
    heard = words(part(page(vessels["stairs"]), "heard"))
    assert "used 2000 passed over 3 2 gravity outside 0.975 to 1.200; 1 lone spike" in heard
    facts = vessels["stairs"]
    assert facts.batch is not None
    judged = facts.batch.judged
    spiked = judged._replace(passed_over=Counter({LONE_SPIKE: 51}))
    many = facts._replace(batch=facts.batch._replace(judged=spiked))
    assert "passed over 51 lone spikes" in words(part(page(many), "heard"))


def test_alerts_open_to_their_words(own_cellar: Path, words: Words) -> None:
    says = "Charge it.\n  lullwort x"
    low = Alert(kind="battery low", about="e", on=True, at_us=10**15, vessel="east", title="Low", says=says)
    with open_book(own_cellar, create=False) as book:
        book.outbox.put([low], ["broker"], 0)
        facts = Cellar(book, lambda: Tended({}, ""), lambda: 2**51).vessel("east")
    assert facts is not None
    assert words(part(page(facts), "alerts")).startswith("Alerts Low, since Sun 9 Sep 2001 01:46 UTC Charge it.")


def test_units_of_the_brewer_are_everywhere(vessels: Facts, words: Words) -> None:
    units = Units("plato", "F", "UTC", "us gal", "comma", "g/L", "psi", "oz")
    for name in ("east", "stairs", "attic"):
        said = words(page(vessels[name], units))
        assert re.search(r"\d,\d+ °P", said)
        assert re.search(r"\d psi", said)
        assert re.search(r"\d °F", said)
        assert not re.search(r"\d\.\d|\d (°C|bar|volumes|L|points)\b", said), re.search(
            r".{30}(\d\.\d|\d (°C|bar|volumes|L|points)\b).{9}", said
        )


@pytest.mark.parametrize("gravity", ["sg", "plato", "points"])
def test_what_rounds_to_nothing_is_told_as_hardly_anything(vessels: Facts, words: Words, gravity: ShownGravity) -> None:
    facts = vessels["north"]
    assert facts.batch is not None
    now = msgspec.structs.replace(facts.batch.judged.now, left=0.004, moved=-0.003, fell=0.002)
    batch = facts.batch._replace(
        judged=facts.batch.judged._replace(now=now), sheet=facts.batch.sheet._replace(seen=now)
    )
    said = words(page(facts._replace(batch=batch), Units(gravity, zone="UTC")))
    assert "Hardly anything still to fall, at most" in said
    assert "gravity would hardly move in 48 h" in said
    assert "so far it hardly moved (limit" in said


def planned(book: Path, vessel: str, **day: object) -> VesselFacts:
    """A vessel once that was entered of its packaging day; 19 L are in it."""
    with open_book(book) as opened:
        (batch,) = opened.batches.all(vessel)
        planned_day = msgspec.convert(day, PackagingDay)
        opened.batches.put(
            msgspec.structs.replace(batch, volume_l=19.0, packaging_day=planned_day), update=True, whole=True
        )
        facts = Cellar(opened, lambda: Tended({}, ""), lambda: opened.newest_us(vessel) or 0).vessel(vessel)
    assert facts is not None
    return facts


def test_of_a_beer_that_is_ready_the_sugar_is_told_as_the_sheet_has_it(own_cellar: Path, words: Words) -> None:
    facts = planned(own_cellar, "north", target_g_l=4.75, sugar="sucrose", container="brown-glass")
    assert facts.batch is not None
    assert facts.batch.sheet.closed.to_prime is not None
    grams = UNITS.weight(facts.batch.sheet.closed.to_prime.grams)
    figures = part(page(facts), "figures")
    assert f"priming {grams} of sucrose for the target" in words(figures)
    assert "is not on record" not in words(figures)


def test_where_entries_are_missing_for_it_they_are_named_with_the_way_to_them(own_cellar: Path, words: Words) -> None:
    figures = part(page(planned(own_cellar, "north")), "figures")
    assert words(figures).endswith(
        "No sugar for priming is told, for this is not on record: the carbonation to aim at and what it is primed with."
    )
    assert re.findall('href="([^"]+)"', figures)[-2:] == ["/batch/north-1/edit#f-target", "/batch/north-1/edit#f-sugar"]


def test_before_it_is_ready_no_sugar_is_told(own_cellar: Path, words: Words) -> None:
    figures = part(page(planned(own_cellar, "east", target_g_l=4.75, sugar="sucrose")), "figures")
    assert "priming not told before the verdict is ready" in words(figures)
    assert "for the target" not in words(figures)
    assert "on record" not in words(part(page(planned(own_cellar, "east")), "figures"))


def test_what_was_noted_since_takes_the_sugar_back(own_cellar: Path, words: Words) -> None:
    planned(own_cellar, "north", target_g_l=4.75, sugar="sucrose", container="brown-glass")
    facts, now_us = noted(own_cellar, "north", "addition", minutes=5)
    figures = words(part("".join(vessel_page(facts, UNITS, now_us)), "figures"))
    assert "priming not told, for the proof begins anew with what was noted since" in figures


def test_a_drill_says_that_it_is_one_and_no_other_batch_does(own_cellar: Path, words: Words) -> None:
    with open_book(own_cellar) as book:
        (batch,) = book.batches.all("east")
        book.batches.put(as_drill(batch))
        facts = Cellar(book, lambda: Tended({}, ""), lambda: book.newest_us("east") or 0).vessel("east")
        other = Cellar(book, lambda: Tended({}, ""), lambda: 2**51).vessel("north")
    assert facts is not None
    assert other is not None
    assert "A drill: all its readings are invented." in words(part(page(facts), "title"))
    assert "A drill: all its readings are invented." in words("".join(overview([facts], UNITS, told_us(facts))))
    assert "A drill" not in words(page(other))
