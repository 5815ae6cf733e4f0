from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.cli.gasvalues import co2_g_l, gauge_bar, target_g_l, vessel_gauge_bar, weight_g
from lullwort.detector import Units
from lullwort.errors import UsageError
from lullwort.settings import Settings

SG = Settings(Path("b"), "sg", "C", None)
G_L = Settings(Path("b"), "sg", "C", None, carbonation="g/L", pressure="psi", weight="oz")
KPA = Settings(Path("b"), "sg", "C", None, pressure="kPa")


@pytest.mark.parametrize(
    ("text", "settings", "g_l"),
    [
        # A volume is 1.977 g/L here; 2.4 of them are 4.74.
        ("2.4", SG, 4.7448), ("2,4", SG, 4.7448), ("2.4v", G_L, 4.7448), ("2.4 vol", G_L, 4.7448),
        ("2.4vols", SG, 4.7448), ("2,4 Volumes", G_L, 4.7448), ("2.4 volumes of CO2", SG, 4.7448),
        ("1 volume", SG, 1.977),
        ("4.7", G_L, 4.7), ("4,7g/L", SG, 4.7), ("4.7 g / l", SG, 4.7), ("4.7 g/L CO2", SG, 4.7), ("0", SG, 0.0),
        ("7 volumes", SG, 13.839), ("14 g/L", SG, 14.0),
    ],
)  # fmt: skip
def test_carbon_dioxide_is_taken_as_brewers_write_it(text: str, settings: Settings, g_l: float) -> None:
    assert co2_g_l(text, "--target", settings) == pytest.approx(g_l)


@pytest.mark.parametrize(
    ("text", "settings", "says"),
    [
        ("x", SG, "--target is 'x', expected carbon dioxide such as 2.4volumes or 4.7g/L"),
        ("2.4 bar", SG, "expected carbon dioxide such as"),
        ("-1", SG, "--target is '-1', expected carbon dioxide such as 2.4volumes or 4.7g/L"),
        ("9", SG, "; 9g/L was probably meant"),
        ("24", SG, "; 2.4volumes was probably meant"),
        ("2400", SG, "; 2.4volumes was probably meant"),
        ("30", SG, "; if a pressure is meant (30psi), tell how much carbon dioxide it stands for"),
        ("47volumes", SG, "expected carbon dioxide such as 2.4volumes or 4.7g/L"),
        ("30volumes", SG, "; 3volumes was probably meant"),
        ("47", G_L, "; 4.7g/L was probably meant"),
        ("14.1g/L", SG, "expected carbon dioxide such as 2.4volumes or 4.7g/L"),
        ("1000000", SG, "expected carbon dioxide such as 2.4volumes or 4.7g/L"),
    ],
)
def test_what_no_beer_holds_is_refused_with_what_was_probably_meant(text: str, settings: Settings, says: str) -> None:
    with pytest.raises(UsageError) as error:
        co2_g_l(text, "--target", settings)
    assert says in str(error.value)
    assert ("probably" in str(error.value)) == ("probably" in says)


@pytest.mark.parametrize(
    ("text", "settings", "says"),
    [
        ("2.4", G_L, "--target: 2.4 reads as volumes: write 2.4volumes, or 2.4g/L where g/L is meant"),
        ("2,4", G_L, "--target: 2,4 reads as volumes: write 2,4volumes, or 2,4g/L where g/L is meant"),
        ("4.7", SG, "--target: 4.7 reads as g/L: write 4.7g/L, or 4.7volumes where volumes are meant"),
    ],
)
def test_a_target_that_looks_like_one_in_the_other_unit_is_asked_after(
    text: str, settings: Settings, says: str
) -> None:
    with pytest.raises(UsageError) as error:
        target_g_l(text, "--target", settings)
    assert str(error.value) == says
    assert co2_g_l(text, "--holds", settings) > 0.0  # of what a beer holds already it may well be so


def test_a_target_with_its_unit_is_believed() -> None:
    assert target_g_l("2.4g/L", "--target", G_L) == target_g_l("2.4g/L", "--target", SG) == 2.4
    assert target_g_l("4.7volumes", "--target", SG) == pytest.approx(9.2919)
    assert target_g_l("4.5", "--target", SG) == pytest.approx(8.8965)
    assert target_g_l("2.9", "--target", G_L) == 2.9


@pytest.mark.parametrize(
    ("text", "settings", "bar"),
    [
        # A psi is 0.0689476 bar (by the definition of the pound); from memory.
        ("2", SG, 2.0), ("1,8bar", SG, 1.8), ("2 barg", SG, 2.0), ("30", G_L, 2.0684), ("30psi", SG, 2.0684),
        ("30 psig", KPA, 2.0684), ("180", KPA, 1.8), ("180kPa", SG, 1.8), ("180 KPA", G_L, 1.8), ("0", SG, 0.0),
    ],
)  # fmt: skip
def test_pressures_are_taken_as_gauges_show_them(text: str, settings: Settings, bar: float) -> None:
    assert gauge_bar(text, "--gauge", settings) == pytest.approx(bar, abs=1e-4)


@pytest.mark.parametrize(
    ("text", "settings", "says"),
    [
        ("30", SG, "; 30psi was probably meant"),
        ("180", SG, "; 180psi or 180kPa was probably meant"),
        ("300", G_L, "; 300kPa was probably meant"),
        ("-1", SG, "expected a pressure above that of the air, such as 1.8bar, 26psi or 180kPa: is its unit right?"),
        ("1e3", SG, "expected a pressure such as 1.8bar"),
        ("2 atm", SG, "--gauge is '2 atm', expected a pressure such as 1.8bar, 26psi or 180kPa"),
    ],
)
def test_a_pressure_that_no_bottle_bears_is_refused_with_the_units_that_would_fit(
    text: str, settings: Settings, says: str
) -> None:
    with pytest.raises(UsageError) as error:
        gauge_bar(text, "--gauge", settings)
    assert says in str(error.value)


@pytest.mark.parametrize(
    ("text", "settings", "says"),
    [
        ("1.1", G_L, "--gauge: 1.1 reads as bar: write 1.1bar, or 1.1psi where psi is meant"),
        ("16", SG, "--gauge: 16 reads as psi: write 16psi, or 16bar where bar is meant"),
        ("16", KPA, "--gauge: 16 reads as psi: write 16psi, or 16kPa where kPa is meant"),
    ],
)
def test_a_gauge_that_is_likelier_in_another_unit_is_asked_after(text: str, settings: Settings, says: str) -> None:
    with pytest.raises(UsageError) as error:
        vessel_gauge_bar(text, "--gauge", settings)
    assert str(error.value) == says
    assert vessel_gauge_bar(f"{text}{settings.pressure}", "--gauge", settings) > 0.0


@pytest.mark.parametrize(("text", "settings"), [("1.1", SG), ("16", G_L), ("110", KPA), ("0", SG), ("0", G_L)])
def test_a_gauge_as_vessels_show_it_is_believed(text: str, settings: Settings) -> None:
    assert vessel_gauge_bar(text, "--gauge", settings) == gauge_bar(text, "--gauge", settings)


@pytest.mark.parametrize(
    ("text", "settings", "g"),
    [
        # An ounce is 28.3495 g, by the definition of the pound; from memory.
        ("118", SG, 118.0), ("118g", G_L, 118.0), ("0,118 kg", SG, 118.0), ("118 grams", SG, 118.0),
        ("1 gram", SG, 1.0),
        ("4", G_L, 113.398), ("4oz", SG, 113.398), ("4 oz.", SG, 113.398), ("4 ounces", SG, 113.398),
        ("0.5lb", SG, 226.796), ("1 pound", SG, 453.592), ("2 lbs", SG, 907.185), ("0", SG, 0.0),
    ],
)  # fmt: skip
def test_weights_are_taken_as_scales_show_them(text: str, settings: Settings, g: float) -> None:
    assert weight_g(text, "--primed", settings) == pytest.approx(g, abs=1e-3)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("much", "--primed is 'much', expected a weight such as 118g or 4.2oz"),
        ("-118g", "expected a weight such as 118g or 4.2oz"),
        ("118g dextrose", ", alone: 118g; what it is of is told apart"),
        ("4 oz of corn sugar", ", alone: 4 oz; what it is of is told apart"),
        ("1,8L", ", not a volume: wort is weighed, too"),
        ("0.5us gal", ", not a volume: wort is weighed, too"),
        ("3/4 cup", ": a cup or a spoon is no measure of weight, so weigh it"),
        ("2 tablespoons", ": a cup or a spoon is no measure of weight, so weigh it"),
    ],
)
def test_what_is_no_weight_says_what_was_probably_meant(text: str, says: str) -> None:
    with pytest.raises(UsageError) as error:
        weight_g(text, "--primed", SG)
    assert says in str(error.value)


_UNITS_OF_THE_DAY = st.builds(
    Units,
    carbonation=st.sampled_from(["volumes", "g/L"]),
    pressure=st.sampled_from(["bar", "psi", "kPa"]),
    weight_unit=st.sampled_from(["g", "oz"]),
    decimal=st.sampled_from(["point", "comma"]),
)


@given(_UNITS_OF_THE_DAY, _UNITS_OF_THE_DAY, st.floats(0.0, 13.9), st.floats(0.0, 19.9), st.floats(0.0, 5000.0))
def test_gas_pressure_and_weight_that_were_shown_can_be_typed(
    shown: Units, typed: Units, g_l: float, bar: float, g: float
) -> None:
    settings = Settings(
        Path("b"), "sg", "C", None, decimal=typed.decimal, carbonation=typed.carbonation, pressure=typed.pressure,
        weight=typed.weight_unit,
    )  # fmt: skip
    assert co2_g_l(shown.co2(g_l), "--target", settings) == pytest.approx(g_l, abs=0.0989)
    assert gauge_bar(shown.gauge(bar), "--gauge", settings) == pytest.approx(bar, abs=0.0501)
    assert weight_g(shown.weight(g), "--primed", settings) == pytest.approx(g, abs=0.501)
