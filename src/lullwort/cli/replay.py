"""`lullwort replay`: judge log files and keep nothing."""

from __future__ import annotations

from pathlib import Path

import click

from lullwort.cli.answer import answer
from lullwort.cli.common import as_json_option, as_of_option, csv_options, log_options, with_settings
from lullwort.cli.judging import judge_logs
from lullwort.cli.logs import read_logs, tell_set_aside
from lullwort.cli.values import instant
from lullwort.collector import read_batches_file
from lullwort.settings import Settings

__all__ = ["replay"]


@click.command(short_help="Judge log files and keep nothing.")
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path))
@click.option(
    "--batches", "batches_file", metavar="FILE", type=click.Path(path_type=Path),
    help="TOML file that says what was pitched when, and what is expected of it.",
)  # fmt: skip
@log_options
@as_of_option
@as_json_option
@with_settings("gravity", "temperature", "zone")
def replay(
    settings: Settings,
    files: tuple[Path, ...],
    batches_file: Path | None,
    as_of: str | None,
    as_json: bool,
    **log: str | bool | None,
) -> None:
    """Judge log files as if they came in now, and keep nothing.

    FILE is a CSV with the columns time, vessel, gravity and temperature. Without a batches file nothing is known of
    pitch or expected end, and the verdict is that it cannot be told.

    Exit 0: every row understood. Exit 1: some rows set aside.
    """
    batches = [] if batches_file is None else read_batches_file(batches_file)
    as_of_us = None if as_of is None else instant(as_of, "--as-of", settings)
    logs = read_logs(files, csv_options(settings, log))
    entries = judge_logs(logs, batches, as_of_us)
    answer(entries, settings, as_json=as_json, brief=False)
    tell_set_aside(logs.set_aside)
    raise SystemExit(1 if logs.set_aside else 0)
