"""Every command that the card names has a page that does the same, but those that only a terminal does."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator, Mapping

import pytest

from lullwort.card.known.facts import VesselFacts
from lullwort.card.pages.commandlinks import FOR_A_TERMINAL, page_of_command
from lullwort.card.pages.markup import command_html, ended
from lullwort.card.vessels.overview import overview
from lullwort.card.vessels.vesselpage import vessel_page
from lullwort.detector import (
    CHECKS,
    Judged,
    Snapshot,
    Units,
    Verdict,
    advice,
    changes_when,
    check_changes_when,
    evidence,
    judge,
    reason,
)
from lullwort.records import VesselReadings
from lullwort.rehearsal import KINDS, invent
from lullwort.rehearsal.hydrometer import judged_by_hand

UNITS = Units(zone="UTC")
Facts = Mapping[str, VesselFacts]


@pytest.mark.parametrize(
    ("command", "address", "act"),
    [
        ("lullwort batch close batch:s-1 --packaged 2026-03-02T04:05:06Z",
         "/batch/s-1/close?packaged=2026-03-02T04%3A05%3A06Z", "Close s-1"),
        ("lullwort batch open cellar --pitched 2026-03-02T04:00:00Z --reported corrected --steady-temperature 19.5C "
         "--reading-interval 6",
         "/vessel/cellar/open?pitched=2026-03-02T04%3A00%3A00Z&reported=corrected&steady=19.5C&interval=6",
         "Open another batch in cellar"),
        ("lullwort note batch:s-1 addition --at 2026-03-02T04:00:00Z --points POINTS",
         "/batch/s-1/note?kind=addition&at=2026-03-02T04%3A00%3A00Z&show=points#f-points", "Note what was put in"),
        ("lullwort batch edit batch:s-1 --steady-temperature TEMPERATURE", "/batch/s-1/edit?show=steady#f-steady",
         "Enter its steady temperature"),
        ("lullwort batch edit", "/batch/own/edit", "Correct the entries"),
        ("lullwort verdict", "/batch/own", "See its page"),
        ("lullwort withdraw", "/import", "See what was imported"),
        ("warm", "/batch/own/note?kind=warm", "Note that it was warmed"),
        ('lullwort batch edit s-1 --recipe "never ended', "/batch/s-1/edit", "Correct the entries"),
    ],
)  # fmt: skip
def test_what_stands_in_a_command_is_handed_over_to_its_page(command: str, address: str, act: str) -> None:
    page = page_of_command(command, "own")
    assert page is not None
    assert (page.address, page.act) == (address, act)


def test_a_page_needs_to_know_which_batch_is_meant() -> None:
    assert page_of_command("lullwort batch edit") is None
    assert ended(command_html("lullwort instrument check x", "own")) == (
        "<code>lullwort instrument check x</code>, at a terminal"
    )


def texts(verdict: Verdict, seen: Snapshot) -> Iterator[str]:
    yield from (reason(verdict, seen, UNITS), advice(verdict, seen, UNITS), changes_when(verdict, seen, UNITS))
    for check in evidence(seen, UNITS):
        yield check.says
    for name in CHECKS:
        yield check_changes_when(name, seen, UNITS)


def commands_of(judged: Judged) -> Iterator[str]:
    told = {change.verdict: change.seen for change in judged.history}
    for verdict, seen in [(judged.verdict, judged.now), *told.items()]:
        for text in texts(verdict, seen):
            yield from re.findall("`(lullwort [^`]+)`", text)
            yield from (line.strip() for line in text.splitlines() if line.startswith("  lull"))


def only_at_a_terminal(command: str) -> bool:
    return page_of_command(command, "own") is None and command.split()[1] not in FOR_A_TERMINAL


@pytest.mark.no_cover
def test_no_advice_on_any_kind_of_batch_leads_to_a_terminal_alone() -> None:
    found = set()
    for kind in KINDS:
        invented = invent(kind, 2)
        found |= set(commands_of(judge(invented.batch, VesselReadings.of(invented.readings))))
    found |= set(commands_of(judged_by_hand(invent("plain ale", 2)).judged))
    assert any(command.startswith("lullwort batch close") for command in found)
    assert [command for command in found if only_at_a_terminal(command)] == []


def test_no_page_names_a_command_but_beside_its_page(
    vessels: Facts, odd_vessels: Facts, words: Callable[[str], str]
) -> None:
    both = [*vessels.values(), *odd_vessels.values()]
    for page in (overview(both, UNITS, 2**50), *(vessel_page(facts, UNITS, 2**51) for facts in both)):
        shown = re.sub(r'<details id="next-\d+">.*?</details>', "", "".join(page), flags=re.DOTALL)
        assert "lullwort" not in words(shown)


def test_each_passage_of_advice_is_followed_by_the_pages_that_do_it(odd_vessels: Facts) -> None:
    def links(vessel: str) -> list[str]:
        page = "".join(vessel_page(odd_vessels[vessel], UNITS, 2**51))
        part = page[page.index('<section id="next"') :]
        return [html.unescape(link) for link in re.findall(r'href="([^"]+)"', part[: part.index("</section>")])]

    close, open_, note = links("split")
    batch = odd_vessels["split"].batch
    assert batch is not None
    split = batch.judged.now.split
    assert split is not None
    assert [close, open_, note] == [
        page.address for page in map(page_of_command, (*split.commands, split.addition_command)) if page is not None
    ]
    assert "/import" in links("wrong-unit")
    assert "/batch/cold-log-1/edit?show=steady#f-steady" in links("cold-log")
