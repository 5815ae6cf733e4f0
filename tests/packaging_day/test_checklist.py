"""The check-list fits the batch: what is asked for is there, its cautions stand in it, and nothing that must not be."""

from __future__ import annotations

import re
from itertools import product
from typing import Any

import pytest

from lullwort.detector import PRESSED, Units, Verdict
from lullwort.packaging_day import Circumstances, Danger, Moved, Stage, checklist, filling_of, limit_of, stage_says
from lullwort.packaging_day.sheetsealing import Closed
from lullwort.records import CONTAINER_NAMES, SUGAR_NAMES, BottleLot, ContainerName

MOVED = Moved(17.1, 1.0, 1.9, "usual losses")
FILLING = filling_of(MOVED, [BottleLot(0.5, 24), BottleLot(0.33, 20)])
READY = Circumstances(
    "north-12", "ready", "brown-glass", 2, moved=MOVED, filling=FILLING, sugar="sucrose", priming_g=112.6
)
VERDICTS: tuple[Verdict, ...] = ("holding", "ready", "stalled", "packaged")
STAGES: tuple[Stage, ...] = ("before", "day before", "on the day", "after")


def text(of: Circumstances = READY, units: Units | None = None, stage: Stage | None = None) -> str:
    return "\n".join(step.says for step in checklist(of, units or Units()) if stage in (None, step.stage))


def every_circumstance() -> list[Circumstances]:
    return [
        Circumstances(
            "north-12", verdict, container, crash_days, cold, pressed, MOVED if known else None,
            FILLING if known else None, sugar, 112.6, over,
        )
        for verdict, container, crash_days, cold, pressed, known, sugar, over in product(
            VERDICTS, CONTAINER_NAMES, (0, 5), (False, True), (False, True), (False, True),
            (None, *SUGAR_NAMES[::5]), (False, True),
        )
    ]  # fmt: skip


def test_it_is_in_the_order_of_time_and_every_step_is_whole_sentences() -> None:
    for of in every_circumstance():
        steps = checklist(of, Units())
        order = [STAGES.index(step.stage) for step in steps]
        assert order == sorted(order)
        assert len({step.says for step in steps}) == len(steps)
        for step in steps:
            assert re.fullmatch(r"[A-Z].*[.]", step.says), step.says
            assert "  " not in step.says
            assert not re.search(r"\bNone\b|\{|\}", step.says), step.says


def test_no_weight_of_priming_stands_there_while_it_is_not_ready() -> None:
    weighed = 0
    for of in every_circumstance():
        told = text(of)
        if "113 g" in told:
            weighed += 1
            assert of.verdict == "ready"
            assert not of.pressed
            assert not of.over_limit
            assert of.container != "growler"
        assert not re.search(r"[0-9] g of", told.replace("113 g of", ""))
    assert weighed
    assert "Weigh 113 g of sucrose" in text()
    assert "Weigh 3.97 oz of sucrose" in text(units=Units(weight_unit="oz"))
    assert "How much priming goes in is told once the verdict is ready" in text(READY._replace(verdict="holding"))


def test_what_is_not_ready_is_neither_chilled_nor_sealed() -> None:
    for of in every_circumstance():
        if of.verdict in ("ready", "packaged"):
            continue
        steps = checklist(of, Units())
        assert steps[0].says.startswith(f"The verdict is {of.verdict}, not ready")
        assert "chill, prime and seal nothing" in steps[0].says
        chilled = [step.says for step in steps if step.says.startswith("Chill it to")]
        assert all("once the verdict is ready, and not before: cold hides" in says for says in chilled)
    assert "not ready:" not in text()


def test_the_proof_is_asked_for_once_more_before_anything_is_sealed() -> None:
    first = next(step for step in checklist(READY, Units()) if step.stage == "on the day")
    assert first.says == (
        "Ask `lullwort verdict north-12` again. Draw a sample, degas it, read it and note it; it is not poured back. "
        "If the two do not agree, or the verdict is not ready, stop here: nothing is primed or sealed. Bottles can "
        "burst."
    )


@pytest.mark.parametrize(
    ("stage", "words"),
    [
        # The trade's list, and in each step the caution that is usual with it: common practice, no source.
        ("before", ["Butter check, if you like", "covered but not sealed", "scalds", "1 to 4 °C", "draws in air"]),
        ("before", ["24 of 500 mL and 20 of 330 mL", "chipped, scratched or cracked is thrown away", "bursts first"]),
        ("day before", ["tap apart", "threads, hose ends and the filling wand are missed most", "as its label says"]),
        ("day before", ["Gloves and goggles", "never mixed", "bleach and acid above all", "poisonous gas"]),
        ("day before", ["hours before", "settles again", "carried by two", "heavy glass never by its neck"]),
        ("on the day", ["touches the cooled beer", "for as long as the label says", "rinsed only if it says so"]),
        ("on the day", ["a cup is no measure", "it scalds", "hot liquid cracks glass", "`lullwort sealed north-12`"]),
        (
            "on the day",
            ["just under the surface", "follow it down", "above the sediment", "Tilt the vessel, if at all"],
        ),
        ("on the day", ["Stop in time: about 1.9 L stay with the sediment", "without your mouth", "Air the room"]),
        ("on the day", ["reaches the bottom of the other vessel", "splashes takes up oxygen"]),
        ("on the day", ["Stir slowly", "half-way through the bottles", "one bottle of a sound batch may burst"]),
        ("on the day", ["Fill from below", "about 24 of 500 mL, then 15 of 330 mL", "headspace", "is not capped"]),
        ("on the day", ["`lullwort batch close north-12 --moved VOLUME --filled BOTTLES --primed WEIGHT`"]),
        ("after", ["closed in", "away from people", "18 to 22 °C", "no bottle by its neck"]),
        ("after", ["After a week", "serving temperature (6 to 12 °C)", "cover eyes and hands", "open none warm"]),
    ],
)
def test_primed_bottles(stage: Stage, words: list[str]) -> None:
    steps = [step.says for step in checklist(READY, Units()) if step.stage == stage]
    if len(words) > 2 and stage != "before":
        assert any(all(word in says for word in words) for says in steps), steps
    assert all(any(word in says for says in steps) for word in words), steps


def danger(**of: Any) -> Danger:
    nothing = Closed(limit_of("brown-glass", None), None, None, by_target=False, too_much=False)
    none: dict[str, Any] = dict.fromkeys(("unproved", "filled", "pressed", "overfilled"), False)
    return Danger(**(none | {"closed": nothing} | of))


@pytest.mark.parametrize("verdict", ["packaged", "holding", "ready"])
@pytest.mark.parametrize("container", CONTAINER_NAMES)
@pytest.mark.parametrize(
    "of",
    [{"unproved": True, "filled": True}, {"unproved": True}, {"pressed": True}, {"overfilled": True}],
    ids=lambda of: "+".join(of),
)
def test_what_is_dangerous_as_it_stands_comes_first_and_nothing_of_it_is_stored_warm(
    verdict: Verdict, container: ContainerName, of: dict[str, bool]
) -> None:
    matter = danger(**of)
    steps = checklist(READY._replace(verdict=verdict, container=container, danger=matter), Units())
    assert steps[0].says == matter.says(Units())
    for words in ("cold, closed in and away from people", "eyes and hands covered"):
        assert words in steps[0].says
    told = "\n".join(step.says for step in steps)
    assert "18 to 22 °C" not in told
    assert "Store the bottles" not in told
    assert "warm until it is carbonated" not in told
    if verdict == "packaged":
        assert {step.stage for step in steps} == {"after"}


def test_without_a_danger_nothing_is_said_of_one() -> None:
    matter = danger()
    assert not matter.any
    assert not matter.says(Units())
    assert checklist(READY._replace(danger=matter), Units()) == checklist(READY, Units())


def test_what_is_primed_already_is_not_primed_again() -> None:
    for verdict in ("ready", "holding"):
        told = text(READY._replace(put_in_g=110.0, verdict=verdict))
        assert "Primed already, with 110 g: do not sugar it twice." in told
        assert "Weigh" not in told
        assert "--primed" not in told
        assert "How much priming" not in told


def test_what_is_chilled_for_one_day_is_chilled_on_the_day_before() -> None:
    for days in (0, 1, 2, 5):
        chilled = [
            step.stage for step in checklist(READY._replace(crash_days=days), Units()) if "Chill it" in step.says
        ]
        assert chilled == ([] if not days else ["day before"] if days == 1 else ["before"])


def test_it_speaks_the_brewers_units() -> None:
    land = Units(temperature="F", volume="us gal", decimal="comma", weight_unit="oz")
    told = text(units=land)
    assert "34 to 39 °F" in told
    assert "140 to 149 °F" in told
    assert "about 0,5 US gal stay" in told
    assert "3,97 oz" in told
    assert not re.search(r"°C|[0-9]\.[0-9]", told)


def test_a_keg_is_rated_and_purged_and_not_capped() -> None:
    keg = text(READY._replace(container="keg", sugar=None, priming_g=None))
    for words in (
        "the pressure that it is rated for",
        "relief valve",
        "carbon dioxide",
        "upright and fastened",
        "leak",
    ):
        assert words in keg
    for words in ("caps", "bottles", "priming goes", "Weigh", "--primed"):
        assert words not in keg.replace("gas bottle", "")
    primed = text(READY._replace(container="keg"))
    assert "Weigh 113 g of sucrose" in primed
    assert "Primed, it builds up pressure by itself: its relief valve must work." in primed


def test_nothing_ferments_in_a_growler() -> None:
    told = text(READY._replace(container="growler"))
    assert "Beer that may ferment on does not go into them" in told
    assert "drink it within days" in told
    assert "Weigh" not in told
    assert "priming goes" not in told


def test_of_a_sealed_vessel_nothing_is_opened_or_primed() -> None:
    for container in ("brown-glass", "keg"):
        told = text(READY._replace(container=container, pressed=True))
        assert PRESSED in told
        assert "Do not prime" in told
        assert "Weigh" not in told
        assert "siphon just" not in told
        assert "Butter check" not in told


@pytest.mark.parametrize(
    ("other", "there", "not_there"),
    [
        ({"crash_days": 0}, [], ["Chill it to"]),
        ({"cold": True}, [], ["Chill it to", "Butter check"]),
        ({"over_limit": True}, ["the target may be more than"], ["Weigh"]),
        ({"priming_g": 0.0}, ["No priming: what the beer holds"], ["Weigh"]),
        ({"priming_g": None}, ["Weigh the sucrose (`lullwort priming north-12` tells how much)"], []),
        ({"sugar": "reserved-wort"}, ["of reserved wort"], ["hot liquid cracks"]),
        ({"moved": None, "filling": None}, ["the last of it stays with the sediment", "Count the bottles"], ["of 500"]),
        ({"container": "plastic"}, ["Leave out what is scratched"], ["thrown away"]),
        ({"verdict": "packaged"}, ["After a week"], ["verdict", "Sanitise"]),
    ],
)
def test_it_goes_by_the_circumstances(other: dict[str, Any], there: list[str], not_there: list[str]) -> None:
    told = text(READY._replace(**other))
    assert all(words in told for words in there), told
    assert not any(words in told for words in not_there), told


@pytest.mark.parametrize(("days", "says"), [(0, "Two days before"), (2, "Two days before"), (14, "14 days before")])
def test_the_first_stage_is_as_early_as_the_crash(days: int, says: str) -> None:
    assert stage_says("before", days) == says
    assert [stage_says(stage, days) for stage in STAGES[1:]] == ["The day before", "On the day", "After"]
