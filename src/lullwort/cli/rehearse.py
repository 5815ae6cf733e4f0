"""`lullwort rehearse`: write an invented batch as files to try things on."""

from __future__ import annotations

from pathlib import Path

import click

from lullwort.cli.common import with_settings
from lullwort.cli.drill import play
from lullwort.cli.lines import say
from lullwort.errors import SourceError, UsageError
from lullwort.records import check_id
from lullwort.rehearsal import KINDS, ODDITIES, batches_toml, csv_lines, invent, invent_repeats, renamed
from lullwort.settings import Settings

__all__ = ["rehearse"]


@click.command(short_help="Write an invented batch as files to try things on.")
@click.argument("kind", required=False)
@click.option("--seed", default=1, show_default=True, help="Another number, another batch of the same kind.")
@click.option(
    "--vessel", metavar="ID", help="Vessel it is said to lie in. Default: north, and drill with --into-broker."
)
@click.option("--name", metavar="ID", help="Name of the batch. Default: the vessel and the seed.")
@click.option(
    "--repeats",
    metavar="N",
    type=click.IntRange(2, 20),
    help="So many batches of one recipe after each other in the vessel, as `lullwort batch compare` wants them.",
)
@click.option(
    "--last", type=click.Choice(tuple(ODDITIES)), help="What is other with the last repeat. Default: nothing."
)
@click.option(
    "--into",
    default=Path(),
    type=click.Path(file_okay=False, path_type=Path),
    metavar="FOLDER",
    help="Folder for the two files. Default: this one.",
)
@click.option(
    "--into-broker",
    is_flag=True,
    help="A drill: enter the batch in the book as if it ended now, and send its readings to the settings' broker.",
)
@click.option(
    "--packs-a-second",
    type=click.FloatRange(0.1, 1000.0),
    default=100.0,
    show_default=True,
    help="How fast a drill sends, a pack holding six readings. With 2 it can be watched: a plain ale ferments for 15 "
    "seconds, holds for 20, and is ready.",
)
@with_settings("book")
def rehearse(
    settings: Settings,
    kind: str | None,
    seed: int,
    vessel: str | None,
    name: str | None,
    repeats: int | None,
    last: str | None,
    into: Path,
    into_broker: bool,
    packs_a_second: float,
) -> None:
    """Write an invented batch of KIND: a log VESSEL.csv and a batches file VESSEL.toml.

    Without KIND the kinds are listed, each with what a detector ought to say of it. All of them are invented.

    With --repeats they are several of one recipe, the last of them still in the vessel.

    With --into-broker the batch takes the real way to the real alert: a running `lullwort tend` receives it from the
    broker, judges it and tells. So the alert is known to come before it matters.
    """
    if kind is None:
        for known in KINDS.values():
            say(f"{known.name}: {known.says} Right answer: {known.right_answer}")
        return
    vessel = vessel or ("drill" if into_broker else "north")
    try:
        check_id(vessel)
        check_id(name or vessel)
    except ValueError as exc:
        raise UsageError(str(exc)) from exc
    if repeats is not None and into_broker:
        raise UsageError("--repeats does not go with --into-broker: a drill is of one batch")
    if last is not None and repeats is None:
        raise UsageError("--last is of repeats: say how many, with --repeats N")
    if repeats is not None:
        made = [
            renamed(one, vessel, f"{name or vessel}-{number}")
            for number, one in enumerate(invent_repeats(kind, seed, repeats, last=last), 1)
        ]
    else:
        made = [renamed(invent(kind, seed), vessel, name or f"{vessel}-{seed}")]
    if into_broker:
        (invented,) = made
        vessel, sent = play(invented, settings, packs_a_second)
        say(f"{sent} readings sent; `lullwort tend` tells what comes of them, and `lullwort verdict {vessel}` too")
        return
    log, batches = into / f"{vessel}.csv", into / f"{vessel}.toml"
    try:
        into.mkdir(parents=True, exist_ok=True)
        with log.open("w", encoding="utf-8", newline="") as file:
            file.writelines(csv_lines(*made))
        batches.write_text(batches_toml(*made), encoding="utf-8")
    except OSError as exc:
        raise SourceError(f"{exc.filename}: cannot be written: {exc.strerror}") from exc
    # A log in a form of its own would be refused before it has been shown.
    how, first = ("see how the log would be read", " --dry-run") if made[0].log_form else ("judge them", "")
    say(f"{log} and {batches} written; {how} with:")
    click.echo(f"  lullwort replay {log} --batches {batches}{first}")  # whole, for it is there to be copied
