"""The command `lullwort`: a group whose commands load only when they are called."""

from __future__ import annotations

import importlib
import os
import sys

import click

from lullwort import __version__
from lullwort.cli.lines import say
from lullwort.errors import LullwortError, RefusedError, UsageError
from lullwort.leash import take_up_leash, too_much

__all__ = ["main"]

_COMMANDS = {
    "replay": "Judge log files and keep nothing.",
    "backfill": "Store log files in the cellar book, then judge.",
    "withdraw": "Take an import out of use as a whole.",
    "verdict": "Say whether each batch may be packaged, and why.",
    "why": "Tell what a verdict rests on, since when, and what would change it.",
    "plan": "Plan packaging day: volume, bottles, days, check-list.",
    "strength": "Tell what a beer holds: alcohol, extract, attenuation, energy.",
    "blend": "Tell what two beers make together, and what may still ferment in it.",
    "priming": "Tell how much sugar brings a beer to its carbonation, once it may be packaged.",
    "sealed": "Tell what bottles closed today would come to, beside what they bear.",
    "sheet": "Make one page for a batch: dates, gravities, strength, events, verdict, bottles.",
    "batch": "Open, edit, close, list and compare batches.",
    "note": "Write down what was done to a batch, or a hand sample.",
    "sensor": "Tell what is known of each sensor, and learn how it answers to temperature.",
    "instrument": "Keep, check and list what samples are read with.",
    "calibrate": "Calibrate a sensor from liquids of known gravity, or tell how to make those.",
    "alerts": "List what was told and still stands, and say what has been seen.",
    "tend": "Run unattended: take readings, judge, tell.",
    "card": "Tell where the bench card is, with the link that lets a browser in.",
    "check": "Try all that the unattended service needs, and tell what is wrong.",
    "export": "Write readings, batches or the whole book as a file.",
    "rehearse": "Write an invented batch as files to try things on.",
    "score": "Score the detector on invented batches beside four simple methods.",
}
"""Short helps stand here so that listing them loads no command; a test holds them equal to the commands' own."""


class _Lazy(click.Group):
    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        command = getattr(importlib.import_module(f"lullwort.cli.{cmd_name}"), cmd_name)
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(_COMMANDS.items()))


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="lullwort")
def lullwort() -> None:
    """May it be packaged? Lullwort reads the log of a sensor floating in the fermenter and says.

    Exit codes of every command: 0 done; 1 done, but rows were set aside or something was refused; 2 wrong usage or
    settings; 3 a file, the cellar book or another resource failed.
    """


def main() -> None:
    """Run the command line and leave with its exit code."""
    # Its matrices are small: threads of the library that multiplies them do nothing but wait for one another, and on a
    # busy machine that takes ten times the work. Before numpy loads; whoever set it knows why.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    most_mib = take_up_leash(os.environ)
    try:
        lullwort.main(standalone_mode=True)
    except MemoryError:
        if most_mib is None:
            raise
        say(too_much(most_mib), err=True)
        sys.exit(1)
    except LullwortError as exc:
        for says in getattr(exc, "faults", None) or (str(exc),):
            say(f"lullwort: {says}", err=True)
        sys.exit(2 if isinstance(exc, UsageError) else 1 if isinstance(exc, RefusedError) else 3)
