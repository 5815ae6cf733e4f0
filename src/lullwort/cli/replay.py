"""`lullwort replay`: judge log files and keep nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click
import msgspec

from lullwort.cli.answer import answer
from lullwort.cli.calibrationpoints import sensors_of_tables
from lullwort.cli.common import SHOWN, as_json_option, as_of_option, log_options, mapping_of, with_settings
from lullwort.cli.dryrun import show_dry_runs
from lullwort.cli.explaining import explain_option
from lullwort.cli.judging import judge_logs
from lullwort.cli.logs import read_logs
from lullwort.cli.sources import log_sources, refuse_to_overwrite, tell_set_aside
from lullwort.cli.values import instant
from lullwort.collector import read_batches_file
from lullwort.settings import Settings
from lullwort.standing import foreseen_by_readings

__all__ = ["replay"]


@click.command(short_help="Judge log files and keep nothing.")
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path))
@click.option(
    "--batches", "batches_file", metavar="FILE", type=click.Path(path_type=Path),
    help="TOML file that says what was pitched when, and what is expected of it.",
)  # fmt: skip
@click.option(
    "--calibration", "tables", metavar="SENSOR=TABLE", multiple=True,
    help="Calibrate a sensor by a table of points, as `lullwort calibrate` takes it.",
)  # fmt: skip
@log_options
@as_of_option
@explain_option
@as_json_option
@with_settings(*SHOWN)
def replay(
    settings: Settings,
    files: tuple[Path, ...],
    batches_file: Path | None,
    tables: tuple[str, ...],
    as_of: str | None,
    explain: bool,
    as_json: bool,
    as_proposed: bool,
    dry_run: bool,
    set_aside_file: Path | None,
    log: dict[str, Any],
) -> None:
    """Judge log files as if they came in now, and keep nothing.

    FILE is a CSV with the columns time, vessel, gravity and temperature, or any other log: --dry-run shows how it
    could be read. Without a batches file nothing is known of pitch or expected end, and the verdict is that it cannot
    be told.

    Exit 0: every row understood. Exit 1: some rows set aside.
    """
    stated = mapping_of(settings, log)
    if dry_run:
        raise SystemExit(0 if show_dry_runs(files, stated, settings, as_json=as_json) else 1)
    refuse_to_overwrite(set_aside_file)
    sensors = sensors_of_tables(tables, settings)
    batches = [] if batches_file is None else read_batches_file(batches_file)
    batches = [msgspec.structs.replace(batch, sensors=sensors) for batch in batches]
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    logs = read_logs(log_sources(files, stated, as_proposed=as_proposed))
    entries = foreseen_by_readings(judge_logs(logs, batches, as_of_us), logs.readings, batches)
    answer(entries, settings, as_json=as_json, brief=False, explain=explain, as_of_us=as_of_us)
    tell_set_aside(logs.set_aside, set_aside_file)
    raise SystemExit(1 if logs.set_aside else 0)
