"""How much priming is told, to whom it is not told, and what is said to what cannot be."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lullwort.science import PRIMING, dissolved_g_l, priming_g, residual_volumes
from lullwort.units import CO2_G_PER_VOLUME, co2_g_l_from_volumes

Shell = Any  # the fixture's class lives in conftest.py
DEMO = Path(__file__).parents[2] / "fixtures" / "demo"
FALLING = ("--as-of", "2026-07-23T12:00Z")
TYPED = ("priming", "--moved", "19L", "--target", "2.4", "--warmest", "20C")
AMOUNT = re.compile(r"[0-9] g\b|[0-9] oz\b|[0-9] mL\b")


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module")
def demo_once(shell_in: Callable[[Path], Shell], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the demo once its log is stored."""
    shell = shell_in(tmp_path_factory.mktemp("demo"))
    for file in DEMO.glob("north.*"):
        shutil.copy(file, shell.folder / file.name)
    shell("backfill", "north.csv", "--batches", "north.toml", "--store-only")
    return Path(shell.folder)


@pytest.fixture
def demo(lullwort: Shell, demo_once: Path) -> Shell:
    shutil.copytree(demo_once, lullwort.folder, dirs_exist_ok=True)
    return lullwort


def told(shell: Shell, *words: str, exits: int = 0) -> Any:
    return json.loads(shell(*words, "--json", exits=exits).stdout)


def refused(shell: Shell, *words: str, exits: int = 1) -> str:
    """What is said where no amount is told; asserts that none is."""
    ran = shell(*words, exits=exits)
    assert not AMOUNT.search(ran.stdout)
    return flat(ran.stderr or ran.stdout)


# -- what is told ------------------------------------------------------------------------------------------------------


def test_a_batch_that_is_ready_is_told_all_kinds_for_batch_and_bottle(demo: Shell) -> None:
    out = flat(demo("priming", "north", "--target", "2.4volumes").stdout)
    assert "a volume is 1.977 g/L, the real gas at 0 °C and 1 atm" in out
    assert "It holds 0.8 volumes: the warmest since activity ended (Fri 24 Jul 2026 05:00 UTC) was 21.0 °C" in out
    assert "Beer to be primed: 17.1 L, once 1.9 L stay behind, the usual" in out
    assert "Each point more makes 0.5 volumes more." in flat(out)
    for row in (
        "sucrose 104 g 2.0 g 3.0 g 2.2 to 2.6", "dextrose, monohydrate 121 g", "dextrose, anhydrous 110 g",
        "dry malt extract 168 g 3.2 g 4.9 g 2.1 to 2.7", "honey 143 g", "reserved wort 1519 g, 1.45 L",
    ):  # fmt: skip
        assert row in flat(out)
    assert "one bottle that is sugared twice bursts" in out
    assert "Boiling syrup scalds" in flat(out)
    assert "confirm with one degassed hand reading" in flat(out)
    assert "DANGER" not in out


def test_the_document_has_the_same_unrounded(demo: Shell) -> None:
    document = told(demo, "priming", "north", "--target", "2.4")
    assert document["proved"] is True
    assert document["refused"] is None
    assert document["danger"] is None
    assert document["co2_g_l_per_volume"] == 1.977
    holds = document["holds"]
    assert holds["g_l"] == pytest.approx(CO2_G_PER_VOLUME * residual_volumes(holds["temperature_c"]), abs=0.001)
    assert [amount["kind"] for amount in document["amounts"]] == [*PRIMING, "reserved-wort"]
    sucrose = document["amounts"][0]
    expected = priming_g(PRIMING["sucrose"], 17.1, holds["g_l"], document["target_g_l"])
    assert [amount["litres"] is None for amount in document["amounts"]] == 5 * [True] + [False]
    assert sucrose["grams"] == pytest.approx(expected, abs=0.3)  # its holds is rounded, and 0.0005 points count
    assert sucrose["comes_to_g_l"]["low"] < document["target_g_l"] < sucrose["comes_to_g_l"]["high"]
    assert [bottle["litres"] for bottle in sucrose["bottles"]] == [0.33, 0.5]


def test_choices_on_record_count_and_options_overrule_them(demo: Shell) -> None:
    demo("batch", "edit", "north-12", "--target", "2.2volumes", "--priming-sugar", "dextrose", "--bottles", "24x330mL")
    on_record = told(demo, "priming", "north")
    assert on_record["target_g_l"] == pytest.approx(2.2 * CO2_G_PER_VOLUME)
    assert [amount["kind"] for amount in on_record["amounts"]] == ["dextrose"]
    assert [bottle["litres"] for bottle in on_record["amounts"][0]["bottles"]] == [0.33]
    tried = told(demo, "priming", "north", "--priming-sugar", "honey", "--target", "4.6g/L", "--moved", "16L")
    assert [amount["kind"] for amount in tried["amounts"]] == ["honey"]
    assert tried["target_g_l"] == 4.6
    assert tried["volume_l"] == {"value": 16.0, "known_by": "measured"}
    assert told(demo, "priming", "north") == on_record, "a try is not kept"


def test_a_syrup_has_its_water_counted_and_what_each_bottle_gets(demo: Shell) -> None:
    words = ("priming", "north", "--target", "2.4", "--syrup", "0.5L", "--bottles", "24x330mL, 10x0.5L")
    out = flat(demo(*words).stdout)
    assert "to 500 mL of syrup, whose water is counted; of that pour 9.38 mL into 330 mL, 14.2 mL into 500 mL." in out
    assert "reserved wort" not in out
    syrup = told(demo, *words)["amounts"][0]
    dry = told(demo, "priming", "north", "--target", "2.4")["amounts"][0]
    # The water wants 0.5 L less the sugar's own room at 4.7 g/L.
    room_l = syrup["grams"] * PRIMING["sucrose"].l_per_g
    assert syrup["litres"] is None, "only reserved wort is measured by volume"
    more = (0.5 - room_l) * 4.7448 / PRIMING["sucrose"].co2
    assert syrup["grams"] - dry["grams"] == pytest.approx(more, abs=0.2)
    assert syrup["syrup"]["water_grams"] == pytest.approx(1000.0 * (0.5 - room_l), rel=0.01)
    assert [bottle["syrup_ml"] for bottle in syrup["bottles"]] == pytest.approx([9.375, 14.2], abs=0.01)


def test_what_was_put_in_is_told_with_what_it_comes_to(demo: Shell) -> None:
    demo("batch", "edit", "north-12", "--priming-sugar", "sucrose", "--target", "2.4volumes")
    demo("batch", "close", "north-12", "--packaged", "2026-08-06T05:00Z", "--primed", "104g")
    document = told(demo, "priming", "batch:north-12")
    assert document["verdict"] == "packaged"
    assert document["proved"] is True
    assert document["primed"]["comes_to_g_l"]["value"] == pytest.approx(4.74, abs=0.02)
    out = flat(demo("priming", "batch:north-12").stdout)
    assert "Already in it: 104 g of sucrose, which come to 2.4 (at most 2.7) volumes of CO2. Do not sugar it" in out
    # The very figures of `lullwort sealed`.
    sealed = json.loads(demo("sealed", "batch:north-12", "--json").stdout)["primed"]["co2_g_l"]
    assert document["primed"]["comes_to_g_l"] == sealed
    assert "too much" not in out
    demo("batch", "edit", "north-12", "--primed", "208g")
    out = flat(demo("priming", "batch:north-12").stdout)
    assert "That is too much (ordinary brown bottles bear 2.4 bar): keep the bottles cold, closed in and away" in out


def test_a_sealed_vessel_is_told_by_its_gauge(demo: Shell) -> None:
    words = ("priming", "north", "--target", "2.7", "--gauge", "1.1bar", "--beer-temperature", "12C")
    document = told(demo, *words)
    assert document["holds"]["g_l"] == pytest.approx(4.52, abs=0.01)
    assert document["holds"]["known_by"] == "gauge"
    assert "It holds 2.3 volumes, by the gauge at 12.0 °C once gas and beer are at rest." in demo(*words).stdout
    demo("note", "north", "seal", "--at", "2026-07-23T12:00Z")
    assert "only its gauge tells: add it, as --gauge 1.1bar" in refused(demo, "priming", "north", "--target", "2.7")
    out = flat(demo("priming", "north", "--target", "2.7", "--insist").stdout)
    assert "by what has fallen since the vessel was sealed at 20." in out
    assert "its gauge tells better (--gauge, --beer-temperature)" in out


def test_each_figure_has_its_formula_and_source(demo: Shell) -> None:
    out = demo("priming", "north", "--target", "2.4", "--syrup", "1L", "--explain").stdout
    for figure in (
        "weight of priming", "gas of a gram", "malt extract and honey", "a point that has yet to fall", "a volume",
        "what the beer holds", "warmest since activity ended", "grams of sugar and water",
    ):  # fmt: skip
        assert f"  {figure}: " in out
    assert "explained" in told(demo, "priming", "north", "--target", "2.4", "--explain")
    assert "explained" not in told(demo, "priming", "north", "--target", "2.4")


def test_pounds_gallons_and_fahrenheit(demo: Shell) -> None:
    env = {
        "LULLWORT_DECIMAL": "comma", "LULLWORT_VOLUME": "us-gal", "LULLWORT_TEMPERATURE": "F",
        "LULLWORT_GRAVITY": "plato", "LULLWORT_PRESSURE": "psi", "LULLWORT_WEIGHT": "oz",
    }  # fmt: skip
    out = demo("priming", "north", "--target", "2,4", env=env).stdout
    assert not re.search(r"[0-9]\.[0-9]", out)
    for says in ("4,5 US gal", "69,8 °F", "12 fl oz", "3,68 oz", "0,076 oz", "Each 0,25 °P more makes 0,5 volumes"):
        assert says in flat(out)


def test_it_fits_a_terminal(demo: Shell) -> None:
    lines = demo.at_terminal(80, "priming", "north", "--target", "2.4")
    assert max(len(line.rstrip()) for line in lines) <= 80
    assert any(line.split() == ["sucrose", "104", "g", "2.0", "g", "3.0", "g", "2.2", "to", "2.6"] for line in lines)
    lines = demo.at_terminal(40, "priming", "north", "--target", "2.4", "--priming-sugar", "dextrose", "--syrup", "1L")
    assert max(len(line.rstrip()) for line in lines) <= 40
    assert {"  dextrose, monohydrate", "    with water: 913 g", "    volumes: 2.2 to 2.6"} <= set(lines)


def test_piped_it_is_laid_out_as_at_a_terminal_and_commands_stay_whole(demo: Shell) -> None:
    narrow = {"COLUMNS": "40"}
    for words in (("priming", "north", "--target", "2.4"), ("sealed", "north", "--target", "2.4")):
        assert max(map(len, demo(*words, env=narrow).stdout.splitlines())) <= 40
    demo("batch", "close", "north-12", "--packaged", "2026-08-06T05:00Z")
    lines = demo("priming", "batch:north-12", env=narrow).stdout.splitlines()
    command = "`lullwort batch edit batch:north-12 --primed WEIGHT --priming-sugar KIND`"
    assert any(line.strip().startswith(command) for line in lines)


def test_of_a_keg_no_bottles_are_told(demo: Shell) -> None:
    words = ("priming", "north", "--target", "2.4", "--container", "keg")
    assert "330 mL" not in demo(*words).stdout
    assert told(demo, *words)["amounts"][0]["bottles"] == []
    assert "in 330 mL" in demo(*words, "--bottles", "330mL").stdout
    assert "whose water is counted." in flat(demo(*words, "--syrup", "16oz").stdout)


def test_reserved_wort_of_another_gravity_ends_at_the_batchs_attenuation(demo: Shell) -> None:
    words = ("priming", "north", "--target", "2.4", "--priming-sugar", "reserved-wort")
    own, weak = (told(demo, *words, *typed)["amounts"][0] for typed in ((), ("--original-gravity", "1.020")))
    # By hand [Balling1865]: three quarters of 52.5 or 20 points fall, 0.97 g/L of gas a point, less the 4.7 g/L that
    # the wort itself is to hold: 33.5 and 9.8 g from a litre.
    assert weak["litres"] / own["litres"] == pytest.approx(33.5 / 9.8, rel=0.05)
    typed = told(demo, *words, "--original-gravity", "1.020", "--final-gravity", "1.005")["amounts"][0]
    assert weak["litres"] == pytest.approx(typed["litres"], rel=0.1)
    assert "more than a quarter of the beer" in flat(demo(*words, "--original-gravity", "1.020").stdout)
    assert "a quarter of the beer" not in flat(demo(*words).stdout)


def test_reserved_wort_is_told_with_its_weight_in_ounces_too(demo: Shell) -> None:
    words = ("priming", "north", "--target", "2.4", "--priming-sugar", "reserved-wort")
    out = flat(demo(*words, env={"LULLWORT_WEIGHT": "oz", "LULLWORT_VOLUME": "us-gal"}).stdout)
    assert re.search(r"reserved wort [0-9.]+ oz, [0-9.]+ (US gal|fl oz)", out)


def test_what_a_beer_of_that_warmth_cannot_have_lost_is_refused(demo: Shell) -> None:
    for words in (("priming", "north", "--target", "2.4"), ("sealed", "north", "--target", "2.4")):
        says = refused(demo, *words, "--holds", "0volumes")
        assert "no warmer than 21.0 °C (Sat 1 Aug 2026 09:00 UTC, on record) still holds about 0.8 volumes" in says


def test_with_one_batch_under_way_it_is_that_which_is_meant(demo: Shell) -> None:
    tried = told(demo, "priming", "--target", "2.4", "--moved", "18L")
    assert (tried["batch"], tried["volume_l"]["value"]) == ("north-12", 18.0)
    assert told(demo, "priming", "--target", "2.4", "--warmest", "21C")["batch"] == "north-12"
    demo("batch", "close", "north-12", "--packaged", "2026-08-06T05:00Z")
    assert told(demo, "priming", "--target", "2.4", "--moved", "18L", "--warmest", "21C", exits=1)["batch"] is None


def test_priming_and_the_closed_bottle_agree_by_the_gauge_of_the_vessel(demo: Shell) -> None:
    demo("note", "north", "seal", "--at", "2026-07-23T12:00Z")
    gauge = ("--gauge", "1.1bar", "--beer-temperature", "20C")
    (amount,) = told(demo, "priming", "north", "--target", "2.9", "--priming-sugar", "sucrose", *gauge)["amounts"]
    primed = ("--primed", f"{amount['grams']}g", "--priming-sugar", "sucrose")
    closed = told(demo, "sealed", "north", *primed, *gauge)
    assert closed["primed"]["co2_g_l"]["value"] == pytest.approx(amount["comes_to_g_l"]["value"], abs=0.02)
    out = flat(demo("sealed", "north", *primed, *gauge).stdout)
    assert "by its gauge at 20.0 °C" in out
    assert "Do not prime on top" not in out
    ungauged = flat(demo("sealed", "north", "--target", "2.9").stdout)
    assert "Do not prime on top of that" in ungauged
    assert "primed to 2.9 volumes" not in ungauged
    assert "once the vessel's gauge tells what the beer holds (--gauge 1.1bar" in ungauged


def test_bottles_that_do_not_go_with_the_beer_are_told_of(demo: Shell) -> None:
    words = ("priming", "north", "--target", "2.4", "--bottles")
    assert "10 of 500 mL take 5.0 L of 17.1 L: for 12.1 L there is no bottle." in flat(demo(*words, "10x500mL").stdout)
    assert "far more than 17.1 L" in flat(demo(*words, "500x500mL").stdout)


def test_of_a_log_that_fell_silent_nobody_knows_how_warm_it_has_been(demo: Shell) -> None:
    late = ("north", "--target", "2.4", "--as-of", "2026-10-29T00:00Z")
    for command in ("priming", "sealed", "plan"):
        out = flat(demo(command, *late).stdout)
        assert "Nothing was heard of it since Thu 6 Aug 2026" in out, command
        assert "nobody knows how warm it has been" in out
        assert "Nothing was heard" not in demo(command, "north", "--target", "2.4").stdout


# -- to whom it is not told --------------------------------------------------------------------------------------------


def test_no_amount_is_told_before_it_may_be_packaged(demo: Shell) -> None:
    says = refused(demo, "priming", "north", "--target", "2.4", *FALLING)
    assert "May it be packaged? No (fermenting since Mon 20 Jul 2026 22:00 UTC). Gravity is 1.0151" in says
    assert "Next: Wait, and leave the vessel closed." in says
    assert "No priming is told before it may be packaged; --insist tells it all the same." in says
    document = told(demo, "priming", "north", "--target", "2.4", *FALLING, exits=1)
    assert document["amounts"] is None
    assert document["proved"] is False
    assert document["refused"].startswith("Gravity is 1.0151")


def test_who_insists_is_told_the_danger_first(demo: Shell) -> None:
    out = demo("priming", "north", "--target", "2.4", *FALLING, "--insist").stdout
    assert out.splitlines()[1].startswith("DANGER: it is not proved that this beer has ended")
    assert "points may still fall: far more gas than any bottle holds." in out
    assert out.index("DANGER") < AMOUNT.search(out).start()  # type: ignore[union-attr]
    document = told(demo, "priming", "north", "--target", "2.4", *FALLING, "--insist")
    assert document["danger"].startswith("DANGER")
    assert document["amounts"]
    at = ("--as-of", "2026-07-25T12:00Z")
    later = demo("priming", "north", "--target", "2.4", *at, "--insist").stdout
    assert re.search(
        r"come to [0-9.]+ volumes and [0-9.]+ bar at 20 °C; ordinary brown bottles bear 2.4 bar: bottles", flat(later)
    )


def test_the_danger_understates_nothing_that_sealed_tells(demo: Shell) -> None:
    at = ("--as-of", "2026-07-25T12:00Z")
    of = ("--priming-sugar", "sucrose")
    document = told(demo, "priming", "north", "--target", "2.4", *of, *at, "--insist")
    grams = document["amounts"][0]["grams"]
    sealed = json.loads(demo("sealed", "north", "--primed", f"{grams}g", *of, *at, "--json").stdout)["primed"]
    room = next(row for row in sealed["temperatures"] if row["temp_c"] == 20.0)
    says = f"{sealed['volumes']['upper']:.1f} volumes and {room['gauge_bar']['upper']:.1f} bar at 20 °C"
    assert says in document["danger"]
    planned = json.loads(demo("sealed", "north", "--target", "2.4", *at, "--json").stdout)["primed"]
    room = next(row for row in planned["temperatures"] if row["temp_c"] == 20.0)
    told_bar = float(re.search(r"and ([0-9.]+) bar at", document["danger"])[1])  # type: ignore[index]
    assert told_bar >= room["gauge_bar"]["upper"] - 0.05


def test_no_amount_is_told_beside_the_danger(lullwort: Shell) -> None:
    says = refused(lullwort, *TYPED, "--insist", "--syrup", "0.1L", exits=2)
    assert "--syrup 100 mL is too little for this much sucrose: a syrup so thick hardly mixes" in says
    assert not re.search(r"[0-9] g\b", says)


def test_a_kegs_regulator_holds_the_target_without_priming(demo: Shell) -> None:
    words = ("priming", "north", "--target", "2.4", "--container", "keg")
    out = flat(demo(*words).stdout)
    # What the demo's beer and one at 4 °C hold at rest, by `dissolved_g_l`.
    found = re.search(r"with the regulator at ([0-9.]+) bar at ([0-9.]+) °C or ([0-9.]+) bar at 4.0 °C", out)
    assert found is not None, out
    now_bar, now_c, cold_bar = map(float, found.groups())
    assert dissolved_g_l(now_bar, now_c) == pytest.approx(2.4 * CO2_G_PER_VOLUME, abs=0.2)
    assert dissolved_g_l(cold_bar, 4.0) == pytest.approx(2.4 * CO2_G_PER_VOLUME, abs=0.2)
    assert "regulator" not in demo("priming", "north", "--target", "2.4").stdout


@pytest.mark.no_cover
@pytest.mark.parametrize(
    ("target", "told_g", "caution"), [("2.4", True, False), ("2.8", True, True), ("3.2", False, False)]
)
def test_one_rule_at_the_limit_for_priming_plan_and_sheet(
    demo: Shell, target: str, told_g: bool, caution: bool
) -> None:
    words = ("--target", f"{target}volumes", "--container", "brown-glass", "--priming-sugar", "sucrose")
    demo("batch", "edit", "north-12", *words)
    priming = demo("priming", "north", exits=0 if told_g else 2).stdout
    plan = flat(demo("plan", "north", "--checklist").stdout)
    sheet = flat(demo("sheet", "north").stdout)
    grams = re.search(r"sucrose +([0-9]+) g", priming)
    assert (grams is not None) == told_g
    assert ("No weight is told" in plan) == ("the target is more than that container bears" in sheet) == (not told_g)
    if grams is not None:
        assert f"Weigh {grams[1]} g of sucrose" in plan
        assert f"{grams[1]} g of sucrose" in sheet
    assert ("At the upper end that is too much" in priming) == caution
    assert ("which at the upper end is more than" in plan) == caution
    assert ("at the upper end more than that container bears" in sheet) == caution


def test_of_a_sealed_vessel_no_page_tells_an_amount(demo: Shell) -> None:
    demo("batch", "edit", "north-12", "--target", "2.7volumes", "--priming-sugar", "sucrose")
    demo("note", "north", "seal", "--at", "2026-07-23T12:00Z")
    refused(demo, "priming", "north")
    sheet, plan = demo("sheet", "north").stdout, demo("plan", "north", "--checklist").stdout
    assert "only the sealed vessel's gauge tells" in flat(sheet)
    for page in (sheet, plan):
        assert not re.search(r"[0-9] g of sucrose", flat(page))
    assert json.loads(demo("sheet", "north", "--json").stdout)["to_prime_g"] is None


def test_without_a_batch_there_is_no_verdict(lullwort: Shell) -> None:
    says = refused(lullwort, *TYPED)
    assert "Without a batch there is no verdict" in says
    assert "the same at least two days apart" in says
    assert told(lullwort, *TYPED, exits=1)["amounts"] is None
    out = lullwort(*TYPED, "--insist", "--priming-sugar", "sucrose").stdout
    assert out.startswith("DANGER")
    assert "Nobody knows here what it has left; each point makes 0.5 volumes on top of the target." in flat(out)
    assert "sucrose 114 g 2.0 g 3.0 g" in flat(out)
    assert not (lullwort.folder / "cellar.book").exists()


def test_what_was_packaged_unproved_stays_unproved(demo: Shell) -> None:
    demo("batch", "close", "north-12", "--packaged", "2026-07-24T12:00Z")
    says = refused(demo, "priming", "batch:north-12", "--target", "2.4")
    assert "It was not proved that this beer had ended. Keep what is filled cold" in says


def test_reserved_wort_is_told_of_while_it_can_be_kept_back(demo: Shell) -> None:
    early = ("--as-of", "2026-07-19T02:00Z")
    says = refused(demo, "priming", "north", "--target", "2.4", "--priming-sugar", "reserved-wort", *early)
    assert "kept back before pitching, about a tenth of the batch (common practice, no source)" in says


def test_a_growler_is_nothing_to_prime_in(demo: Shell) -> None:
    err = flat(demo("priming", "north", "--target", "2.4", "--container", "growler", exits=1).stderr)
    assert "nothing may ferment in growlers, jugs for carrying beer home, for they burst" in err


# -- what cannot be ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (
            ("--target", "0.7"),
            "the beer holds 0.8 volumes already, at 21.0 °C: for 0.7 volumes there is nothing to add",
        ),
        (
            ("--target", "2.4", "--container", "growler"),
            "nothing may ferment in growlers, jugs for carrying beer home, for they burst",
        ),
        (("--target", "2.4", "--warmest", "4C"), "Probably the temperature of the crash was typed: gas that has gone"),
        (("--target", "2.4", "--warmest", "26C"), "has no hour warmer than 21.0 °C at Sat 1 Aug 2026 09:00 UTC"),
        (("--target", "2.4", "--warmest", "18.9"), "--warmest is '18.9', but 21.0 °C at Sat 1 Aug"),
    ],
)
def test_what_the_record_contradicts_is_refused(demo: Shell, words: tuple[str, ...], says: str) -> None:
    assert says in refused(demo, "priming", "north", *words)


def test_a_warmest_that_a_thermometer_may_well_show_counts(demo: Shell) -> None:
    assert told(demo, "priming", "north", "--target", "2.4", "--warmest", "72F")["holds"]["temperature_c"] == 22.22
    assert told(demo, "priming", "north", "--target", "2.4", "--holds", "1g/L")["holds"]["g_l"] == 1.0


def test_a_warmer_time_before_the_log_began_counts_as_stated(lullwort: Shell) -> None:
    rows = (DEMO / "north.csv").read_text(encoding="utf-8").splitlines()
    lullwort.write("north.csv", "\n".join(row for row in rows if row[:4] != "2026" or row >= "2026-07-26"))
    shutil.copy(DEMO / "north.toml", lullwort.folder / "north.toml")
    lullwort("backfill", "north.csv", "--batches", "north.toml", "--store-only")
    words = ("priming", "north", "--target", "2.4")
    out = flat(lullwort(*words).stdout)
    assert "The log tells its temperature without a gap only since Sun 26 Jul 2026 01:00 UTC: if it was warmer" in out
    assert "activity ended" not in out
    assert "only since Sun 26 Jul 2026 01:00 UTC" in flat(lullwort("sealed", "north").stdout)
    before, stated = told(lullwort, *words), told(lullwort, *words, "--warmest", "26C")
    assert stated["holds"]["g_l"] == pytest.approx(CO2_G_PER_VOLUME * residual_volumes(26.0), abs=0.001)
    assert stated["amounts"][0]["grams"] > before["amounts"][0]["grams"]
    # What the log does tell cannot be gone behind.
    assert "is on record" in refused(lullwort, *words, "--warmest", "4C")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "Usual by style (common practice, no source): British ales 1.5 to 2.2 volumes"),
        (("--target", "4.2volumes"), "aim for at most 3.0 volumes, or choose sparkling-wine or keg with --container"),
        (("--target", "4.2volumes"), "ordinary brown bottles bear 2.4 bar (taken, for none is named: ordinary beer"),
        (("--target", "2.6", "--container", "reused-glass"), "aim for at most 2.5 volumes, or choose brown-glass or"),
        (
            ("--target", "2.4", "--container-limit", "1.5bar"),
            "this container bears 1.5 bar: aim for at most 1.2 volumes",
        ),
        (("--target", "2.4", "--moved", "0"), "expected a volume of more than nothing"),
        (
            ("--target", "2.4", "--moved", "171"),
            "--moved 171.0 L is more than the vessel held",
        ),
        (("--target", "2.4", "--losses", "19L"), "nothing of"),
        (("--target", "2.4", "--warmest", "68"), "68F was probably meant"),
        (("--target", "2.4", "--syrup", "50mL"), "is too little for this much sucrose: a syrup so thick hardly mixes"),
        (("--target", "2.4", "--syrup", "10L"), "would water down 17.1 L of beer: is its unit right?"),
        (("--target", "2.4", "--syrup", "1L", "--priming-sugar", "reserved-wort"), "reserved wort is poured in as it"),
        (
            ("--target", "2.4", "--warmest", "20C", "--holds", "1"),
            "--warmest and --holds each tell what the beer holds",
        ),
        (("--target", "2.4", "--beer-temperature", "20C"), "--beer-temperature goes with --gauge"),
        (("--target", "2.4", "--container", "box"), "box"),
    ],
)
def test_bad_input_gets_a_sentence(demo: Shell, words: tuple[str, ...], says: str) -> None:
    assert says in refused(demo, "priming", "north", *words, exits=2)


@pytest.mark.parametrize(
    ("words", "exits", "says"),
    [
        (("--target", "2.4", "--warmest", "20C"), 2, "--moved is missing"),
        (("--target", "2.4", "--moved", "19L"), 2, "tell the warmest it has been since activity ended with --warmest"),
        (("--moved", "19L", "--warmest", "20C"), 2, "--target is missing"),
        (("--target", "2.4", "--moved", "19L", "--gauge", "1bar"), 2, "--gauge needs the beer's temperature"),
        (("--target", "2.4", "--moved", "19L", "--as-of", "now"), 2, "--as-of goes with a batch"),
        (
            ("--target", "2.4", "--moved", "19L", "--holds", "0.9", "--priming-sugar", "reserved-wort"), 1,
            "tell its gravity with --original-gravity",
        ),
        (
            ("--target", "2.4", "--moved", "19L", "--holds", "0.9", "--priming-sugar", "reserved-wort",
             "--original-gravity", "1.012", "--final-gravity", "1.050"), 1, "primes nothing: are the two right?",
        ),
    ],
)  # fmt: skip
def test_what_is_missing_is_asked_for(lullwort: Shell, words: tuple[str, ...], exits: int, says: str) -> None:
    assert says in refused(lullwort, "priming", "--insist", *words, exits=exits)


def test_a_batch_without_a_temperature_asks_for_the_warmest(lullwort: Shell) -> None:
    lullwort("batch", "open", "tub", "--pitched", "2026-05-01T12:00Z", "--original-gravity", "1.050", "--volume", "20L")
    for day in ("09", "13", "18"):
        lullwort("note", "tub", "sample", "--at", f"2026-05-{day}T12:00Z", "--gravity-read", "1.012")
    says = refused(lullwort, "priming", "tub", "--target", "2.4", "--insist")
    assert "no temperature of tub" in says
    document = told(lullwort, "priming", "tub", "--target", "2.4", "--insist", "--warmest", "21C")
    assert document["holds"]["temperature_c"] == 21.0
    assert co2_g_l_from_volumes(0.7) < document["holds"]["g_l"] < co2_g_l_from_volumes(0.9)


def test_a_jar_s_temperature_is_not_the_beer_s(lullwort: Shell) -> None:
    lullwort(
        "batch", "open", "tub", "--pitched", "2026-05-01T12:00Z", "--original-gravity", "1.050", "--volume", "20L",
        "--expected-final-gravity", "1.011 to 1.013", "--yeast-min", "5C",
    )  # fmt: skip
    for day in ("12", "17", "22", "27"):
        at = f"2026-05-{day}T12:00Z"
        lullwort("note", "tub", "sample", "--at", at, "--gravity-read", "1.012", "--temperature-read", "20C")
    words = ("priming", "tub", "--target", "2.4")
    says = refused(lullwort, *words)
    assert "how warm a sample was in its jar tells nothing of it" in says
    assert "`lullwort batch edit --steady-temperature` keeps one" in says
    assert "edit --steady-temperature" in flat(lullwort("sealed", "tub", exits=2).stderr)
    sheet = told(lullwort, "sheet", "tub")
    assert (sheet["held_co2_g_l"], sheet["temperatures"]["warmest_at_rest"]) == (None, None)
    assert json.loads(lullwort("verdict", "tub", "--json").stdout)["vessels"][0]["sealed"]["assumed_c"] == 20.0
    stated = told(lullwort, *words, "--warmest", "10C")["holds"]
    assert stated["g_l"] == pytest.approx(CO2_G_PER_VOLUME * residual_volumes(10.0), abs=0.001)
    assert stated["at_most_g_l"] > stated["g_l"] + 0.9
    lullwort("batch", "edit", "tub", "--steady-temperature", "10C")
    assert told(lullwort, *words)["holds"]["g_l"] == stated["g_l"]
    assert told(lullwort, *words, "--warmest", "16C")["holds"]["temperature_c"] == 16.0, "a rest warmer than that"


# -- what is not so any more ---------------------------------------------------------------------------------------

THEN = ("--as-of", "2026-07-30T12:00Z")


def test_nothing_is_weighed_by_what_was_proved_once(demo: Shell) -> None:
    words = ("priming", "north", "--target", "2.4", *THEN)
    assert told(demo, *words)["no_longer"] is None
    was = told(demo, *words)["points_left"]
    demo("note", "north", "sample", "--at", "2026-08-05T12:00Z", "--gravity-read", "1.022")
    says = refused(demo, *words)
    assert "May it be packaged? Yes (ready since" in says
    assert "That is no longer so: as of Thu 6 Aug 2026 04:57 UTC it is unclear. Prime and seal nothing by" in says
    assert "Next:" not in says
    document = told(demo, *words, exits=1)
    assert document["amounts"] is None
    assert document["proved"] is False
    assert document["no_longer"] == {"as_of": "2026-08-06T04:57:41Z", "verdict": "unclear"}
    assert "That is no longer so" in document["refused"]
    out = flat(demo(*words, "--insist").stdout)
    assert 0 < out.index("DANGER") < out.index("That is no longer so") < out.index("Target:")
    assert told(demo, *words, "--insist")["points_left"]["upper"] > was["upper"] + 5.0
    assert "That is no longer so: as of Thu 6 Aug" in flat(demo("sealed", "north", *THEN).stdout)


def test_what_is_so_still_or_again_is_told(demo: Shell) -> None:
    words = ("priming", "north", "--target", "2.4", *THEN)
    demo("batch", "close", "north-12", "--packaged", "2026-08-06T05:00Z")
    assert told(demo, *words)["no_longer"] is None, "packaged once it was proved"
    demo("note", "north-12", "dry hop", "--at", "2026-08-05T20:00Z")
    assert told(demo, *words, exits=1)["no_longer"]["verdict"] == "packaged", "but the hops began the proof anew"


def test_an_unknown_name_is_met_with_those_near(demo: Shell) -> None:
    assert "did you mean 'north'" in refused(demo, "priming", "nort", "--target", "2.4")
