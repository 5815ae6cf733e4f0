"""Every setting, declared once: its name, what it may be, its default and what it does.

A value comes from the settings file, is overruled by an environment variable `LULLWORT_<NAME>`, and that by a
command's option. A key that is not declared here is an error that names the nearest one that is.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Callable, Iterator
from collections.abc import Mapping as Table
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Literal, NamedTuple

import msgspec
from platformdirs import user_config_path, user_data_path

from lullwort.alerts import AlertSettings, checked_alerts
from lullwort.collector import (
    BrokerSettings,
    FolderSettings,
    Form,
    HttpSettings,
    Mapping,
    checked_broker,
    checked_folder,
    checked_form,
    checked_http,
    checked_mapping,
)
from lullwort.collector.entries.keycheck import an_id, as_table, checked_keys
from lullwort.decimalmark import DecimalMark, mark_of_locale
from lullwort.detector import ShownGravity, Units
from lullwort.errors import SourceError, UsageError
from lullwort.leash import ENDS_WITH, MOST_MIB
from lullwort.records import ZONE_NAME, zone_info
from lullwort.units import Co2Unit, PressureUnit, VolumeUnit

__all__ = ["SETTINGS", "Setting", "Settings", "broker_password", "load_settings", "settings_faults", "settings_path"]


class Settings(msgspec.Struct, frozen=True):
    """What holds for one run of a command; see `SETTINGS` for what each means.

    `mappings` and `forms` are those that the file saves under a name, tables headed [mapping.NAME] and [form.NAME].
    `zone_by_option` tells that the zone was typed, so that it overrules that of a mapping. `vessel_of` places sensors
    in vessels. `broker`, `folder` and `http` are None where there is no such table.
    `decimal` is what the locale asks for, where it was to say.
    """

    book: Path
    gravity: ShownGravity
    temperature: Literal["C", "F"]
    zone: str | None
    mappings: dict[str, Mapping] = {}
    zone_by_option: bool = False
    forms: dict[str, Form] = {}
    vessel_of: dict[str, str] = {}
    broker: BrokerSettings | None = None
    folder: FolderSettings | None = None
    http: HttpSettings | None = None
    alerts: AlertSettings = AlertSettings()
    volume: VolumeUnit = "L"
    decimal: DecimalMark = "point"
    carbonation: Co2Unit = "volumes"
    pressure: PressureUnit = "bar"
    weight: Literal["g", "oz"] = "g"

    @property
    def alert_targets(self) -> list[str]:
        """Where alerts go, without anything secret; empty where nobody but who looks here is told."""
        return self.alerts.targets(with_broker=self.broker is not None)

    @property
    def units(self) -> Units:
        """In which values are shown; moments in UTC where no zone is set."""
        return Units(
            self.gravity,
            self.temperature,
            self.zone or "UTC",
            self.volume,
            self.decimal,
            self.carbonation,
            self.pressure,
            self.weight,
        )


class Setting(NamedTuple):
    """One declared setting.

    Attributes:
        name:    key in the file; the variable is LULLWORT_ and the name in capitals.
        expects: what a value may be, in words.
        read:    makes the value from its text; raises ValueError if it cannot be.
        default: the value where nobody gives one; called, because some depend on the user's folders.
        says:    what it does, in a brewer's words.
        option:  what it is called on the command line, if that is not its name.
    """

    name: str
    expects: str
    read: Callable[[str], Any]
    default: Callable[[], Any]
    says: str
    option: str = ""

    @property
    def flag(self) -> str:
        """The option that gives this setting."""
        return f"--{self.option or self.name}"

    @property
    def variable(self) -> str:
        """The environment variable that gives this setting."""
        return f"LULLWORT_{self.name.upper()}"


def _one_of(*choices: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in choices:
            raise ValueError(text)
        return text

    return read


def _volume(text: str) -> VolumeUnit:
    """A unit of volume, its words parted by a blank or a hyphen."""
    return _VOLUMES[text.replace(" ", "-")]


_VOLUMES: dict[str, VolumeUnit] = {"L": "L", "us-gal": "us gal", "imp-gal": "imp gal"}


def _path(text: str) -> Path:
    if not text:
        raise ValueError(text)
    return Path(text).expanduser()


SETTINGS = (
    Setting(
        "book", "a file path", _path, lambda: user_data_path("lullwort") / "cellar.book",
        "the cellar book: the file in which readings, batches and verdicts are kept",
    ),
    Setting(
        "gravity", "sg, plato or points", _one_of("sg", "plato", "points"), lambda: "sg",
        "unit in which gravity is shown and taken",
    ),
    Setting("temperature", "C or F", _one_of("C", "F"), lambda: "C", "unit in which temperature is shown and taken"),
    Setting(
        "zone", ZONE_NAME, lambda text: zone_info(text).key, lambda: None,
        "zone in which times are shown, and taken where they have no offset of their own",
    ),
    Setting(
        "volume", "L, us-gal or imp-gal", _volume, lambda: "L",
        "unit in which volumes are shown and taken: litres, US or imperial gallons", "volume-unit",
    ),
    Setting(
        "carbonation", "volumes or g/L", _one_of("volumes", "g/L"), lambda: "volumes",
        "unit in which carbon dioxide in beer is shown and taken; a volume is 1.977 g/L", "carbonation-unit",
    ),
    Setting(
        "pressure", "bar, psi or kPa", _one_of("bar", "psi", "kPa"), lambda: "bar",
        "unit in which pressure above that of the air is shown and taken", "pressure-unit",
    ),
    Setting(
        "weight", "g or oz", _one_of("g", "oz"), lambda: "g",
        "unit in which what is weighed on a kitchen scale is shown and taken", "weight-unit",
    ),
    Setting(
        "decimal", "point, comma or locale", _one_of("point", "comma", "locale"), lambda: "locale",
        "mark before the decimals of what is shown, by the system's locale if it is to say; either is taken",
    ),
)  # fmt: skip

_OTHER_VARIABLES = (
    "LULLWORT_SETTINGS", "LULLWORT_OPEN_DATA", "LULLWORT_BROKER_PASSWORD", "LULLWORT_REQUIRE_MOSQUITTO",
    "LULLWORT_REQUIRE_CHROMIUM", ENDS_WITH, MOST_MIB,
)  # fmt: skip
"""Where the settings file is, the broker's password, what tests find or require, what holds commands of a service."""

_BY_NAME = {setting.name: setting for setting in SETTINGS}


def settings_path(environment: Table[str, str]) -> Path:
    """Where the settings file is: the variable LULLWORT_SETTINGS, else the user's configuration folder."""
    named = environment.get("LULLWORT_SETTINGS")
    return Path(named).expanduser() if named else user_config_path("lullwort") / "settings.toml"


def load_settings(environment: Table[str, str], options: Table[str, str | None] | None = None) -> Settings:
    """The settings of this run from file, environment and options, in rising order.

    Args:
        environment: such as os.environ.
        options: by setting name; None where the command line did not give one.
    Raises:  UsageError naming the key, the value seen and what was expected.
    """
    return _load(environment, options or {}, _Strict())


def settings_faults(environment: Table[str, str]) -> list[str]:
    """All that is wrong with the settings of this run, each in a sentence; empty where nothing is."""
    faults = _Collected()
    with faults.noted():
        _load(environment, {}, faults)
    return faults.says


class _Strict:
    """The first fault is raised."""

    @contextmanager
    def noted(self) -> Iterator[None]:
        yield


class _Collected:
    """Every fault is kept, and the work goes on after it."""

    def __init__(self) -> None:
        self.says: list[str] = []

    @contextmanager
    def noted(self) -> Iterator[None]:
        try:
            yield
        except UsageError as exc:
            self.says.append(str(exc))


_Faults = _Strict | _Collected


def _load(environment: Table[str, str], options: Table[str, str | None], faults: _Faults) -> Settings:
    values: dict[str, Any] = {setting.name: setting.default() for setting in SETTINGS}
    path = settings_path(environment)
    table = _from_file(path, "LULLWORT_SETTINGS" in environment)
    tables = _tables(path, {name: table.pop(name) for name in _TABLES if name in table}, faults)
    for name, value in table.items():
        with faults.noted():
            if name not in _BY_NAME:
                raise UsageError(f"{path}: unknown setting {name!r}{_nearest(name)}")
            values[name] = _value(_BY_NAME[name], value, f"{path}: {name}")
    with faults.noted():
        _refuse_unknown_variables(environment)
    for setting in SETTINGS:
        with faults.noted():
            if setting.variable in environment:
                values[setting.name] = _value(setting, environment[setting.variable], setting.variable)
            given = options.get(setting.name)
            if given is not None:
                values[setting.name] = _value(setting, given, setting.flag)
    if values["decimal"] == "locale":
        values["decimal"] = mark_of_locale(environment)
    return Settings(**values, **tables, zone_by_option=options.get("zone") is not None)


_TABLES = ("mapping", "form", "sensor", "broker", "folder", "http", "alerts")


def _tables(path: Path, entered: dict[str, Any], faults: _Faults) -> dict[str, Any]:
    """The fields of `Settings` that tables of the file fill."""
    fields: dict[str, Any] = {
        "mappings": _named(path, "mapping", entered, checked_mapping, faults),
        "forms": _named(path, "form", entered, checked_form, faults),
        "vessel_of": _named(path, "sensor", entered, _checked_sensor, faults),
    }
    for name, check in _OWN_TABLES.items():
        if name in entered:
            with faults.noted():
                fields[name] = check(f"{path}: {name}", entered[name])
    for topic in fields["broker"].topics if "broker" in fields else ():
        with faults.noted():
            _refuse_unknown_name(f"{path}: broker: form", topic.form, "form", fields["forms"])
    if "folder" in fields:
        with faults.noted():
            _refuse_unknown_name(f"{path}: folder: mapping", fields["folder"].mapping, "mapping", fields["mappings"])
    if "http" in fields:
        with faults.noted():
            _refuse_unknown_name(f"{path}: http: form", fields["http"].form, "form", fields["forms"])
    return fields


_OWN_TABLES: dict[str, Callable[[str, object], Any]] = {
    "broker": checked_broker, "folder": checked_folder, "http": checked_http, "alerts": checked_alerts,
}  # fmt: skip


def _refuse_unknown_name(where: str, name: str, kind: str, known: Table[str, object]) -> None:
    if name and name not in known:
        names = ", ".join(known) or "none"
        raise UsageError(f"{where} is {name!r}, expected one headed [{kind}.NAME] ({names})")


def _named(
    path: Path, kind: str, entered: dict[str, Any], check: Callable[[str, object], Any], faults: _Faults
) -> dict[str, Any]:
    tables = entered.get(kind, {})
    found = {}
    with faults.noted():
        if not isinstance(tables, dict):
            raise UsageError(f"{path}: {kind} is {tables!r}, expected tables headed [{kind}.NAME]")
        for name, table in tables.items():
            with faults.noted():
                found[name] = check(f"{path}: {kind} {name!r}", table)
    return found


def _checked_sensor(where: str, entered: object) -> str:
    """The vessel in which a sensor floats."""
    keys = checked_keys(where, as_table(where, entered), {"vessel": ("vessel", an_id)}, required=("vessel",))
    return str(keys["vessel"])


def broker_password(broker: BrokerSettings, environment: Table[str, str]) -> str | None:
    """From the file that the settings name, else the variable LULLWORT_BROKER_PASSWORD. Raises SourceError."""
    if broker.password_file is None:
        return environment.get("LULLWORT_BROKER_PASSWORD")
    try:
        return broker.password_file.read_text(encoding="utf-8").rstrip("\r\n")
    except (OSError, UnicodeDecodeError) as exc:
        raise SourceError(f"{broker.password_file}: the broker's password cannot be read from it") from exc


def _refuse_unknown_variables(environment: Table[str, str]) -> None:
    known = {*(setting.variable for setting in SETTINGS), *_OTHER_VARIABLES}
    for name in sorted(environment):
        if name.startswith("LULLWORT_") and name not in known:
            near = difflib.get_close_matches(name, known, n=1, cutoff=0.4)
            raise UsageError(f"unknown variable {name}{f'; did you mean {near[0]}?' if near else ''}")


def _from_file(path: Path, must_exist: bool) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        if must_exist:
            raise UsageError(f"{path}: there is no such settings file, though LULLWORT_SETTINGS names it") from None
        return {}
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as exc:
        raise UsageError(f"{path}: cannot be read as settings: {exc}") from exc


def _value(setting: Setting, seen: Any, where: str) -> Any:
    try:
        if isinstance(seen, str):
            return setting.read(seen)
    except (ValueError, KeyError):
        pass
    raise UsageError(f"{where} is {seen!r}, expected {setting.expects}")


def _nearest(name: str) -> str:
    near = difflib.get_close_matches(name, _BY_NAME, n=1, cutoff=0.4)
    return f"; did you mean {near[0]!r}?" if near else f"; known are {', '.join(_BY_NAME)}"
