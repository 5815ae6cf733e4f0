"""The points of a calibration as a brewer writes them: a small table, or typed; a wrong one is named by its line."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Literal, NamedTuple

import msgspec

from lullwort.analysis import CalibrationFit, NoCurveError, calibrate
from lullwort.cli.shownunits import units_of
from lullwort.cli.values import gravity_sg, number, temp_c
from lullwort.detector import Units, value_range
from lullwort.errors import OutOfRangeError, RefusedError, SourceError, UsageError
from lullwort.records import CalibrationPoint, GravityReported, RawValue, SensorTraits, check_id
from lullwort.science import from_sg, hydrometer_true_sg, to_sg
from lullwort.settings import Settings
from lullwort.units import to_celsius

__all__ = [
    "Points", "curve_of", "read_points", "sensor_id", "sensors_of_tables", "shown_raw", "typed_points",
]  # fmt: skip

_WORDS = {
    "inclination": "inclination angle winkel neigung inclinaison degrees grad",
    "raw": "raw reported roh rohwert gemeldet brut shown",
    "gravity": "gravity sg density dichte plato extract extrakt stammwürze known densité densidad densità",
    "temperature": "temperature temp temperatur température temperatura",
    "sd": "sd uncertainty unsicherheit incertitude",
}  # fmt: skip
_ROLE = {word: role for role, words in _WORDS.items() for word in words.split()}
_HEADER = "inclination or raw, gravity, and if you like temperature and uncertainty (in points)"
_RADIANS, _LIKE_SG = 1.6, (0.95, 1.20)
_UPRIGHT = 180.0


class Points(NamedTuple):
    """Points as understood, and what their raw values are."""

    of: RawValue
    points: tuple[CalibrationPoint, ...]


class _Row(NamedTuple):
    """One point as written; `where` is what errors call it."""

    where: str
    raw: str
    gravity: str
    temperature: str
    sd: str


def read_points(path: Path, settings: Settings, *, hydrometer_c: float | None = None) -> Points:
    """The points of a table. Raises UsageError naming the line of a wrong row, SourceError if it cannot be read.

    Args:    hydrometer_c: [°C] on the hydrometer that showed the gravities, at each row's temperature; None: they are
             those at 20 °C, by weight or corrected.
    """
    rows = _table(path)
    names = [_role(label) for label in rows[0][1]]
    for role in ("raw", "gravity"):
        if not any(name == role or (role == "raw" and name == "inclination") for name in names):
            seen = ", ".join(rows[0][1])
            raise UsageError(f"{path}:{rows[0][0]}: the columns are {seen!r}, expected {_HEADER}")
    doubled = [name for name in names if name is not None and names.count(name) > 1]
    if doubled or {"raw", "inclination"} <= set(names):
        raise UsageError(f"{path}:{rows[0][0]}: {rows[0][1]} name one thing twice, expected {_HEADER}")
    written = []
    for line, cells in rows[1:]:
        if len(cells) != len(names):
            hint = "; where decimals have commas, semicolons stand between columns" if len(cells) > len(names) else ""
            raise UsageError(f"{path}:{line}: {len(cells)} values, expected the {len(names)} of the header{hint}")
        said = {name: cell for name, cell in zip(names, cells, strict=True) if name is not None}
        raw = said.get("inclination", said.get("raw", ""))
        written.append(_Row(f"{path}:{line}: ", raw, said["gravity"], said.get("temperature", ""), said.get("sd", "")))
    if not written:
        raise UsageError(f"{path}: there is no point below the header")
    in_header = _units_of(dict(zip(names, rows[0][1], strict=True)), settings)
    return _understood("inclination" if "inclination" in names else "gravity", written, in_header, hydrometer_c)


def typed_points(
    of: RawValue, typed: Sequence[str], settings: Settings, *, hydrometer_c: float | None = None
) -> Points:
    """Points as `RAW GRAVITY [TEMPERATURE]`, blanks between. Raises UsageError."""
    rows = []
    for nth, text in enumerate(typed, start=1):
        parts = text.split()
        if len(parts) not in (2, 3):
            raise UsageError(
                f"--point is {text!r}, expected RAW GRAVITY and if you like TEMPERATURE, as '41.5 1.048 20'"
            )
        rows.append(_Row(f"--point {nth}: ", parts[0], parts[1], parts[2] if len(parts) == 3 else "", ""))
    return _understood(of, rows, settings, hydrometer_c)


def sensors_of_tables(stated: Sequence[str], settings: Settings) -> tuple[SensorTraits, ...]:
    """Sensors calibrated by tables named as `SENSOR=TABLE`. Raises UsageError, and as `calibrate`."""
    sensors = []
    for text in stated:
        name, equals, path = text.partition("=")
        if not equals or not path:
            raise UsageError(f"--calibration is {text!r}, expected SENSOR=TABLE such as float-2=points.csv")
        given = read_points(Path(path), settings)
        fit = curve_of(given, settings, made_us=0)
        sensors.append(SensorTraits(name=sensor_id(name, "--calibration"), calibration=fit.calibration))
    return tuple(sensors)


def curve_of(
    given: Points, settings: Settings, *, made_us: int, reported: GravityReported = "uncorrected"
) -> CalibrationFit:
    """As `calibrate`; why there is no curve is told in the units of the settings."""
    try:
        return calibrate(given.of, given.points, made_us=made_us, reported=reported)
    except NoCurveError as exc:
        units = units_of(settings)
        raise RefusedError(exc.told(units.difference, lambda raw: shown_raw(given.of, raw, units))) from exc


def shown_raw(of: RawValue, raw: float, units: Units) -> str:
    """A raw value in words: degrees of an inclination, or a gravity."""
    return f"{units.number(raw, 2)}°" if of == "inclination" else units.level((raw - 1.0) * 1000.0)


def sensor_id(name: str, what: str) -> str:
    """`name` itself if a sensor can be called so. Raises UsageError."""
    try:
        return check_id(name)
    except ValueError as exc:
        raise UsageError(f"{what}: {exc}") from None


def _table(path: Path) -> list[tuple[int, list[str]]]:
    """The lines that hold something, with their numbers, the header first."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as exc:
        raise SourceError(f"{path}: cannot be read: {exc}") from exc
    lines = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if line.strip(" \t,;")]
    lines = [(number, line) for number, line in lines if not line.lstrip().startswith("#")]
    if not lines:
        raise UsageError(f"{path}: is empty, expected a header with {_HEADER}")
    between = next((mark for mark in (";", "\t") if mark in lines[0][1]), ",")
    cells = csv.reader((line for _, line in lines), delimiter=between, skipinitialspace=True)
    return [(number, [cell.strip() for cell in row]) for (number, _), row in zip(lines, cells, strict=True)]


def _role(label: str) -> str | None:
    """Of a column by its name, which may have a unit beside it."""
    return next((_ROLE[word] for word in _words(label) if word in _ROLE), None)


def _units_of(labels: dict[str | None, str], settings: Settings) -> Settings:
    """With the units that the header states, which outrank those of the settings."""
    gravity, temperature = _words(labels.get("gravity", "")), _words(labels.get("temperature", ""))
    if {"°p", "plato", "p"} & set(gravity):
        settings = msgspec.structs.replace(settings, gravity="plato")
    elif {"points", "pt"} & set(gravity):
        settings = msgspec.structs.replace(settings, gravity="points")
    elif "sg" in gravity:
        settings = msgspec.structs.replace(settings, gravity="sg")
    for letter in ("C", "F"):
        if {letter.lower(), f"°{letter.lower()}"} & set(temperature):
            settings = msgspec.structs.replace(settings, temperature=letter)
    return settings


def _words(label: str) -> list[str]:
    return re.split(r"[\s\[\]()/_,]+", label.lower())


def _understood(of: RawValue, rows: Sequence[_Row], settings: Settings, hydrometer_c: float | None) -> Points:
    _refuse_another_order(of, rows, settings)
    points = tuple(_point(of, row, settings, hydrometer_c) for row in rows)
    if of == "inclination":
        _refuse_no_degrees(points, units_of(settings))
    return Points(of, points)


def _point(of: RawValue, row: _Row, settings: Settings, hydrometer_c: float | None) -> CalibrationPoint:
    where, units = row.where, units_of(settings)
    raw = number(row.raw, f"{where}raw") if of == "inclination" else gravity_sg(row.raw, f"{where}raw", settings)
    gravity = gravity_sg(row.gravity, f"{where}gravity", settings)
    temperature_c = temp_c(row.temperature, f"{where}temperature", settings) if row.temperature else 20.0
    if not 0.0 <= temperature_c <= 40.0:
        typed = _bare(row.temperature)
        other: Literal["C", "F"] = "C" if settings.temperature == "F" else "F"
        meant = typed is not None and 0.0 <= to_celsius(typed, other) <= 40.0
        hint = f"; if °{other} are meant, write {row.temperature}{other}" if meant else ""
        within = value_range(units.temp(0.0, 0), units.temp(40.0, 0))
        raise UsageError(f"{where}temperature is {row.temperature!r}, expected {within} of the liquid{hint}")
    sd = number(row.sd, f"{where}uncertainty") if row.sd else None
    if sd is not None and not 0.01 <= sd <= 50.0:
        raise UsageError(f"{where}uncertainty is {row.sd!r}, expected points of gravity such as 1")
    if not 0.98 <= gravity <= 1.2:
        within = value_range(units.level(0.0, 3), units.level(200.0, 3))
        raise UsageError(f"{where}gravity is {row.gravity!r}, expected that of a sugar solution, {within}")
    if hydrometer_c is not None:
        gravity = _by_hydrometer(gravity, temperature_c, hydrometer_c, where)
    return CalibrationPoint(raw=raw, gravity=gravity, temperature_c=temperature_c, sd=sd)


def _by_hydrometer(reading: float, temperature_c: float, hydrometer_c: float, where: str) -> float:
    """[SG 20/20] of the sugar solution in which a hydrometer for `hydrometer_c` shows that."""
    try:
        true = hydrometer_true_sg(reading, temperature_c, calibration_c=hydrometer_c)
        return to_sg(from_sg(true, "plato", hydrometer_c), "plato")
    except OutOfRangeError as exc:
        raise UsageError(f"{where}{exc}") from exc


def _refuse_another_order(of: RawValue, rows: Sequence[_Row], settings: Settings) -> None:
    """Say what was probably meant where a whole column cannot be what it is called."""
    raws, gravities = ([_bare(row.raw) for row in rows], [_bare(row.gravity) for row in rows])
    where = rows[0].where
    if None in raws or None in gravities:
        return  # which of them it is shall be said of its row
    given = [value for value in gravities if value is not None]
    others = [value for value in raws if value is not None]
    if of == "inclination" and all(_is_sg(value) for value in others) and not all(_is_sg(value) for value in given):
        raise UsageError(f"{where}the raw values look like gravities, the gravities do not: are the columns swapped?")
    if settings.gravity != "sg" and all(_is_sg(value) for value in given):
        raise UsageError(
            f"{where}the gravities look like SG: head their column 'gravity SG', write each as {rows[0].gravity}SG, or "
            "say --gravity sg"
        )
    short = units_of(settings).short
    if settings.gravity == "sg" and all(-1.0 <= value <= 35.0 for value in given) and max(given) > 1.3:
        raise UsageError(
            f"{where}the gravities run from {short(min(given))} to {short(max(given))}: if that is degrees Plato, say "
            "--gravity plato or write each as 12.5P"
        )
    if of == "inclination" and all(_is_sg(value) for value in others) and all(_is_sg(value) for value in given):
        near = max(abs(a - b) for a, b in zip(others, given, strict=True)) < 0.03
        if near:
            raise UsageError(
                f"{where}the inclinations look like gravities: call the column raw, or say --of gravity, where they are"
            )


def _refuse_no_degrees(points: Sequence[CalibrationPoint], units: Units) -> None:
    raws = [point.raw for point in points]
    run = f"the inclinations run from {units.short(min(raws))} to {units.short(max(raws))}"
    if all(0.0 <= raw <= _RADIANS for raw in raws):
        raise UsageError(
            f"{run}: radians, probably. Degrees are expected, as the book keeps them: "
            f"{units.number(math.degrees(min(raws)), 1)} to {units.number(math.degrees(max(raws)), 1)}"
        )
    if max(raws) > _UPRIGHT or min(raws) < -_UPRIGHT:
        raise UsageError(f"{run}, expected degrees of -180 to 180")


def _bare(text: str) -> float | None:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


def _is_sg(value: float) -> bool:
    return _LIKE_SG[0] <= value <= _LIKE_SG[1]
