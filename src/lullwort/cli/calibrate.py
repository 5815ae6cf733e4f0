"""`lullwort calibrate`: a sensor's curve from liquids of known gravity, and how to make those."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click
import msgspec

from lullwort.analysis import CALIBRATION_EXPLAINED, CalibrationFit
from lullwort.cellarbook import Book, open_book
from lullwort.cli.amounts import positive_volume_l
from lullwort.cli.calibrationpoints import Points, curve_of, read_points, sensor_id, typed_points
from lullwort.cli.common import SHOWN, as_json_option, with_settings
from lullwort.cli.explaining import as_documents, explain_option, say_explained
from lullwort.cli.gasvalues import weight_g
from lullwort.cli.judging import judge_book
from lullwort.cli.lines import say, say_page
from lullwort.cli.showcalibration import fit_document, show_fit, show_solutions, solutions_document
from lullwort.cli.shownunits import local_time, units_of
from lullwort.cli.telling import keep_and_tell
from lullwort.cli.values import gravity_sg, now_us, temp_c
from lullwort.errors import RefusedError, UsageError
from lullwort.explained import Explained
from lullwort.records import CalibrationPoint, SensorTraits
from lullwort.science import SOLUTIONS_EXPLAINED, sugar_solution, sugar_steps
from lullwort.settings import Settings

__all__ = ["calibrate"]

_TARGETS = (1.000, 1.010, 1.020, 1.035, 1.050, 1.065, 1.080)
"""From water to a strong wort, closer where beers end."""
_VOLUMES_L = (0.05, 100.0)


@click.command(short_help="Calibrate a sensor from liquids of known gravity, or tell how to make those.")
@click.argument("sensor")
@click.argument("table", required=False, type=click.Path(path_type=Path))
@click.option(
    "--point", "typed", multiple=True, metavar="POINT", help="Without a table: RAW GRAVITY [TEMPERATURE], in quotes."
)
@click.option(
    "--of", type=click.Choice(["inclination", "gravity"]), default="inclination", show_default=True,
    help="What the raw values of --point are: degrees, or gravities as the sensor reports them.",
)  # fmt: skip
@click.option(
    "--hydrometer", metavar="TEMPERATURE",
    help="The gravities were read on a hydrometer made for this (20C or 60F), at each point's temperature. Without it "
    "they are those at 20 °C, by weight or corrected.",
)  # fmt: skip
@click.option(
    "--reported", type=click.Choice(["uncorrected", "corrected"]),
    help="Whether the sensor corrects a gravity for temperature itself. Default: it does not.",
)  # fmt: skip
@click.option("--add", "adds", is_flag=True, help="Add these points to those that are kept.")
@click.option("--dry-run", is_flag=True, help="Show the curve and keep nothing.")
@click.option("--remove", is_flag=True, help="Take the calibration back: what was reported counts again.")
@click.option("--solutions", is_flag=True, help="Tell the weights of sugar and water for solutions to measure in.")
@click.option("--target", "targets", multiple=True, metavar="GRAVITY", help="Of a solution. Default: seven to 1.080.")
@click.option("--volume", default="1L", show_default=True, metavar="VOLUME", help="Of each: 1.5L, 800ml, '0.4 us gal'.")
@click.option("--scale", default="1g", show_default=True, metavar="WEIGHT", help="By which each weight may be off.")
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def calibrate(
    settings: Settings,
    sensor: str,
    table: Path | None,
    typed: tuple[str, ...],
    of: Any,
    hydrometer: str | None,
    reported: Any,
    adds: bool,
    dry_run: bool,
    remove: bool,
    solutions: bool,
    targets: tuple[str, ...],
    volume: str,
    scale: str,
    explain: bool,
    as_json: bool,
) -> None:
    """Calibrate SENSOR by a TABLE of points, or show what is kept of it.

    TABLE has a header and a line for each liquid: inclination [degrees] or raw (a gravity as the sensor reports it),
    gravity, and if you like temperature and uncertainty [points]. Readings stay as they were reported; the curve is
    applied to all of them whenever they are judged, and gives nothing beyond its points.

    Exit 0: done. Exit 1: these points give no curve that can be trusted, or nothing is kept.
    """
    sensor_id(sensor, "SENSOR")
    _refuse_together(table=table is not None, point=bool(typed), remove=remove, solutions=solutions)
    if solutions:
        _tell_solutions(
            settings,
            sensor,
            targets,
            _litres(volume, settings),
            _scale_g(scale, settings),
            explain=explain,
            as_json=as_json,
        )
        return
    hydrometer_c = None if hydrometer is None else temp_c(hydrometer, "--hydrometer", settings)
    given = read_points(table, settings, hydrometer_c=hydrometer_c) if table is not None else None
    if typed:
        given = typed_points(of, typed, settings, hydrometer_c=hydrometer_c)
    if dry_run and given is not None and not adds:
        fit = curve_of(given, settings, made_us=now_us(), reported=_reported(given, reported))
        _tell(fit, sensor, settings, explain=explain, as_json=as_json, kept=False)
        return
    with open_book(settings.book, create=given is not None and not dry_run) as book:
        traits = _traits(book, sensor)
        if remove:
            _remove(book, traits, settings)
        elif given is None:
            if traits.calibration is None:
                raise RefusedError(
                    f"{sensor} has no calibration: name a table of points; `lullwort calibrate {sensor} --solutions` "
                    "tells how to make liquids for it"
                )
            _tell(_kept_fit(traits, settings), sensor, settings, explain=explain, as_json=as_json, kept=True)
        else:
            points = _with_kept(traits, given) if adds else given.points
            fit = curve_of(Points(given.of, points), settings, made_us=now_us(), reported=_reported(given, reported))
            if not dry_run:
                fit = _keep(book, traits, fit)
            _tell(fit, sensor, settings, explain=explain, as_json=as_json, kept=not dry_run)
            if not dry_run:
                _tell_of_book(book, fit, sensor, settings)


def _reported(given: Points, stated: Any) -> Any:
    if stated == "corrected" and given.of == "inclination":
        raise UsageError(
            "--reported corrected: a sensor may correct a gravity for temperature, an inclination it cannot"
        )
    return stated or "uncorrected"


def _traits(book: Book, sensor: str) -> SensorTraits:
    return next((t for t in book.equipment.sensors() if t.name == sensor), SensorTraits(name=sensor))


def _with_kept(traits: SensorTraits, given: Points) -> tuple[CalibrationPoint, ...]:
    kept = traits.calibration
    if kept is None:
        return given.points
    if kept.of != given.of:
        raise RefusedError(f"the points kept of {traits.name} are of its {kept.of}, these of its {given.of}")
    return tuple(dict.fromkeys((*kept.points, *given.points)))


def _kept_fit(traits: SensorTraits, settings: Settings) -> CalibrationFit:
    kept = traits.calibration
    assert kept is not None
    fit = curve_of(Points(kept.of, kept.points), settings, made_us=kept.made_us, reported=kept.reported)
    return fit._replace(calibration=kept)


def _keep(book: Book, traits: SensorTraits, fit: CalibrationFit) -> CalibrationFit:
    kept, made = traits.calibration, fit.calibration
    if kept is not None and kept == msgspec.structs.replace(made, made_us=kept.made_us):
        return fit._replace(calibration=kept)
    book.equipment.put_sensor(msgspec.structs.replace(traits, calibration=made))
    return fit


def _remove(book: Book, traits: SensorTraits, settings: Settings) -> None:
    if traits.calibration is None:
        raise RefusedError(f"{traits.name} has no calibration that could be taken back")
    book.equipment.put_sensor(msgspec.structs.replace(traits, calibration=None))
    made = local_time(traits.calibration.made_us, settings)
    say(f"The calibration of {traits.name} of {made} is taken back; its readings count as they were reported.")
    _judge_anew(book, traits.name, settings)


def _judge_anew(book: Book, sensor: str, settings: Settings) -> None:
    """The batches in whose vessels it ever was; what changes in them is told."""
    for vessel in book.readings.vessels():
        if sensor in book.readings.sensors(vessel):
            for says in keep_and_tell(book, judge_book(book, vessel, None), now_us(), settings.units):
                say(says, err=True)


def _tell(fit: CalibrationFit, sensor: str, settings: Settings, *, explain: bool, as_json: bool, kept: bool) -> None:
    if as_json:
        _print({"sensor": sensor, "kept": kept, **fit_document(fit)}, CALIBRATION_EXPLAINED if explain else ())
        return
    say_page(lambda page: show_fit(fit, sensor, settings, page, kept=kept))
    if explain:
        say_explained(CALIBRATION_EXPLAINED, settings.decimal)


def _tell_of_book(book: Book, fit: CalibrationFit, sensor: str, settings: Settings) -> None:
    """What follows for the readings and batches on record."""
    known = {name for vessel in book.readings.vessels() for name in book.readings.sensors(vessel)}
    if sensor not in known:
        others = f"; there are readings of {', '.join(sorted(known))}" if known else ""
        say(f"There are no readings of a sensor {sensor} in the book yet{others}.", err=True)
    for batch in book.batches.all():
        there = batch.packaged_us is None and sensor in book.readings.sensors(batch.vessel)
        if there and batch.gravity_reported != fit.calibration.reported:
            say(
                f"{batch.name} is entered as {batch.gravity_reported}, and what this calibration gives is "
                f"{fit.calibration.reported}: lullwort batch edit {batch.name} --reported {fit.calibration.reported}",
                err=True,
            )
    _judge_anew(book, sensor, settings)


def _tell_solutions(
    settings: Settings,
    sensor: str,
    targets: tuple[str, ...],
    volume_l: float,
    scale_g: float,
    *,
    explain: bool,
    as_json: bool,
) -> None:
    gravities = sorted({gravity_sg(text, "--target", settings) for text in targets} or _TARGETS)
    for gravity in gravities:
        if not 1.0 <= gravity <= 1.2:
            seen, water, most = (units_of(settings).level((sg - 1.0) * 1000.0, 3) for sg in (gravity, 1.0, 1.2))
            raise UsageError(f"--target is {seen}, expected {water}, which is water, to {most}")
    afresh = [sugar_solution(gravity, volume_l, scale_g=scale_g) for gravity in gravities]
    stepwise = sugar_steps(gravities, volume_l, scale_g=scale_g)
    if as_json:
        _print(solutions_document(afresh, stepwise, scale_g), SOLUTIONS_EXPLAINED if explain else ())
        return
    say_page(lambda page: show_solutions(afresh, stepwise, sensor, scale_g, settings, page))
    if explain:
        say_explained(SOLUTIONS_EXPLAINED, settings.decimal)


def _print(document: dict[str, Any], explained: tuple[Explained, ...]) -> None:
    if explained:
        document = {**document, "explained": as_documents(explained)}
    click.echo(json.dumps(document, indent=2, ensure_ascii=False))


def _litres(text: str, settings: Settings) -> float:
    litres = positive_volume_l(text, "--volume", settings)
    if not _VOLUMES_L[0] <= litres <= _VOLUMES_L[1]:
        bare = text.strip()
        hint = f"; if millilitres are meant, write {bare}ml" if bare[-1].isdigit() and 100.0 < litres <= 5000.0 else ""
        least, most = (units_of(settings).amount(end, 2) for end in _VOLUMES_L)
        raise UsageError(f"--volume is {text!r}, expected {least} to {most}{hint}")
    return litres


def _scale_g(text: str, settings: Settings) -> float:
    grams = weight_g(text, "--scale", settings)
    if not 0.0 < grams <= 50.0:
        raise UsageError(f"--scale is {text!r}, expected by how much a kitchen scale may be off, such as 1g or 0.05oz")
    return grams


def _refuse_together(**asked: bool) -> None:
    names = {"table": "a table", "point": "--point", "remove": "--remove", "solutions": "--solutions"}
    said = [names[name] for name, is_asked in asked.items() if is_asked]
    if len(said) > 1:
        raise UsageError(f"{' and '.join(said)} do not go together: one at a time")
