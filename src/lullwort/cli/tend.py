"""`lullwort tend`: run unattended beside the vessels."""

from __future__ import annotations

import os

import click

from lullwort.tend import Service, log_to_stderr, on_signals

__all__ = ["tend"]


@click.command(short_help="Run unattended: take readings, judge, tell.")
@click.option("--book", metavar="FILE", help="The cellar book, instead of that of the settings.")
def tend(book: str | None) -> None:
    """Run unattended beside the vessels: take readings from the broker, keep and judge them, and tell what matters.

    What it listens to and whom it tells stands in the settings file. It ends on SIGTERM, and takes up a changed
    settings file on SIGHUP. Its log goes to standard error.
    """
    log_to_stderr()
    service = Service(os.environ, {"book": book})
    on_signals(service)
    service.run()
