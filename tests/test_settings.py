from __future__ import annotations

from pathlib import Path

import pytest

from lullwort.alerts import AlertSettings
from lullwort.collector import BrokerSettings, FolderSettings
from lullwort.errors import SourceError, UsageError
from lullwort.settings import SETTINGS, broker_password, load_settings, settings_path


def written(folder: Path, text: str) -> dict[str, str]:
    path = folder / "settings.toml"
    path.write_text(text, encoding="utf-8")
    return {"LULLWORT_SETTINGS": str(path)}


def test_every_setting_has_a_default_that_it_would_itself_accept(tmp_path: Path) -> None:
    settings = load_settings({"XDG_CONFIG_HOME": str(tmp_path), "HOME": str(tmp_path)})
    assert (settings.gravity, settings.temperature, settings.zone) == ("sg", "C", None)
    assert settings.book.name == "cellar.book"
    for setting in SETTINGS:
        if setting.default() is not None:
            assert setting.read(str(setting.default())) == setting.default()
        assert setting.says


def test_file_environment_and_option_overrule_each_other_in_this_order(tmp_path: Path) -> None:
    environment = written(tmp_path, 'gravity = "plato"\ntemperature = "F"\nzone = "Europe/Berlin"\n')
    assert load_settings(environment).gravity == "plato"
    environment["LULLWORT_GRAVITY"] = "sg"
    assert load_settings(environment).gravity == "sg"
    assert load_settings(environment, {"gravity": "plato", "zone": None}).gravity == "plato"
    assert load_settings(environment).zone == "Europe/Berlin"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('gravty = "sg"', "unknown setting 'gravty'; did you mean 'gravity'"),
        ('xyzzy = "sg"', "unknown setting 'xyzzy'; known are book, gravity"),
        ('gravity = "brix"', "gravity is 'brix', expected sg, plato or points"),
        ("gravity = 1", "gravity is 1, expected sg, plato or points"),
        ('zone = "Middle/Earth"', "zone is 'Middle/Earth', expected a time zone such as Europe/Berlin or UTC"),
        ('book = ""', "book is '', expected a file path"),
        ("gravity = sg", "cannot be read as settings"),
    ],
)
def test_an_error_names_the_key_what_was_seen_and_what_was_expected(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(UsageError) as error:
        load_settings(written(tmp_path, text))
    assert says in str(error.value)
    assert "settings.toml" in str(error.value)


@pytest.mark.parametrize(
    ("name", "values", "expects"),
    [
        ("carbonation", ("volumes", "g/L"), "volumes or g/L"),
        ("pressure", ("bar", "psi", "kPa"), "bar, psi or kPa"),
        ("weight", ("g", "oz"), "g or oz"),
    ],
)
def test_units_of_packaging_day_are_settings_like_the_others(
    tmp_path: Path, name: str, values: tuple[str, ...], expects: str
) -> None:
    variable = f"LULLWORT_{name.upper()}"
    for value in values:
        environment = written(tmp_path, f'{name} = "{value}"\n')
        assert getattr(load_settings(environment), name) == value
        assert getattr(load_settings({variable: value}), name) == value
        assert getattr(load_settings({variable: values[0]}, {name: value}), name) == value
    with pytest.raises(UsageError, match=f"{name} is 'stone', expected {expects}"):
        load_settings(written(tmp_path, f'{name} = "stone"\n'))
    with pytest.raises(UsageError, match=f"--{name}-unit is 'stone', expected {expects}"):
        load_settings({}, {name: "stone"})


def test_what_is_shown_is_shown_in_the_units_of_the_settings() -> None:
    environment = {
        "LULLWORT_CARBONATION": "g/L", "LULLWORT_PRESSURE": "psi", "LULLWORT_WEIGHT": "oz", "LULLWORT_VOLUME": "us-gal",
        "LULLWORT_DECIMAL": "comma", "LULLWORT_GRAVITY": "plato", "LULLWORT_TEMPERATURE": "F",
    }  # fmt: skip
    units = load_settings(environment).units
    said = (units.co2(4.7), units.gauge(2.0), units.weight(113.4), units.serving(0.354882), units.amount(18.927))
    assert said == ("4,7 g/L", "29 psi", "4,00 oz", "12 fl oz", "5,0 US gal")


def test_a_wrong_variable_or_option_is_named_as_it_was_given() -> None:
    with pytest.raises(UsageError, match="LULLWORT_TEMPERATURE is 'K', expected C or F"):
        load_settings({"LULLWORT_TEMPERATURE": "K"})
    with pytest.raises(UsageError, match="--gravity is 'x', expected sg, plato or points"):
        load_settings({}, {"gravity": "x"})


def test_an_unknown_variable_names_the_nearest_known_one() -> None:
    with pytest.raises(UsageError, match="unknown variable LULLWORT_GRAVTY; did you mean LULLWORT_GRAVITY"):
        load_settings({"LULLWORT_GRAVTY": "plato"})
    load_settings({"LULLWORT_OPEN_DATA": "anywhere"})


def test_a_settings_file_that_was_named_must_exist(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="there is no such settings file"):
        load_settings({"LULLWORT_SETTINGS": str(tmp_path / "none.toml")})
    assert settings_path({"LULLWORT_SETTINGS": "a.toml"}) == Path("a.toml")


def test_the_example_in_config_works_as_it_stands_and_names_every_setting() -> None:
    example = Path(__file__).parents[1] / "config" / "settings.toml"
    load_settings({"LULLWORT_SETTINGS": str(example)})
    text = example.read_text(encoding="utf-8")
    assert all(f"{setting.name} = " in text and setting.says in text for setting in SETTINGS)


def test_the_example_names_every_key_of_broker_folder_and_alerts() -> None:
    text = (Path(__file__).parents[1] / "config" / "settings.toml").read_text(encoding="utf-8")
    for key in (*BrokerSettings.__struct_fields__, *AlertSettings.__struct_fields__, *FolderSettings.__struct_fields__):
        assert f"{key} = " in text, key


def test_a_topic_names_a_form_that_is_there(tmp_path: Path) -> None:
    table = '[broker]\ntopics = [{ topic = "a", form = "jar" }]\n'
    with pytest.raises(UsageError, match="form is 'jar', expected one headed"):
        load_settings(written(tmp_path, table))
    form = '[form.jar]\nread = "number"\nquantity = "gravity"\n[sensor.f1]\nvessel = "north"\n'
    settings = load_settings(written(tmp_path, table + form))
    assert settings.broker is not None
    assert settings.vessel_of == {"f1": "north"}
    with pytest.raises(UsageError, match="sensor 'f1': vessel is missing"):
        load_settings(written(tmp_path, "[sensor.f1]\n"))


def test_without_a_broker_no_alert_goes_to_one(tmp_path: Path) -> None:
    assert load_settings(written(tmp_path, "")).alert_targets == []
    assert load_settings(written(tmp_path, '[alerts]\nbroker = true\npush_file = "p"\n')).alert_targets == ["push"]
    assert load_settings(written(tmp_path, "[broker]\n")).alert_targets == ["broker"]
    assert load_settings(written(tmp_path, "[broker]\n[alerts]\nbroker = false\n")).alert_targets == []


def test_the_password_comes_from_its_file_or_from_the_environment(tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("s3cret\n")
    assert broker_password(BrokerSettings(password_file=tmp_path / "secret"), {}) == "s3cret"
    assert broker_password(BrokerSettings(), {"LULLWORT_BROKER_PASSWORD": "other"}) == "other"
    with pytest.raises(SourceError, match="password cannot be read"):
        broker_password(BrokerSettings(password_file=tmp_path / "none"), {})
