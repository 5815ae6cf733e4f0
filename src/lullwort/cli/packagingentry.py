"""What may be entered of packaging day by options: what is meant to be done, and what was done."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from types import MappingProxyType
from typing import Any

import click

from lullwort.cli.amounts import CALLED
from lullwort.cli.bottlelots import BOTTLES, bottle_lots
from lullwort.cli.containervalues import container_limit_bar, container_name
from lullwort.cli.gasvalues import target_g_l, weight_g
from lullwort.cli.shownunits import shown_in
from lullwort.cli.values import volume_l
from lullwort.collector import PACKAGING_RANGES
from lullwort.detector import value_range
from lullwort.errors import UsageError
from lullwort.faults import Faults
from lullwort.records import CONTAINER_NAMES, SUGAR_NAMES
from lullwort.settings import Settings

__all__ = [
    "OPTION_OF_PACKAGING_KEY",
    "choice_options",
    "close_options",
    "done_options",
    "moved_option",
    "packaging_entered",
]

_Command = Callable[..., Any]

_CONTAINER = click.option("--container", metavar="KIND", help=f"What it is closed in: {', '.join(CONTAINER_NAMES)}.")
_SUGAR = click.option("--priming-sugar", metavar="KIND", help=f"What it is primed with: {', '.join(SUGAR_NAMES)}.")
_DONE = (
    click.option("--moved", metavar="VOLUME", help="Beer that was moved off the sediment, as measured."),
    click.option("--primed", metavar="WEIGHT", help="Priming that was put in: 118g or 4.2oz."),
    click.option("--filled", metavar=BOTTLES, help="Bottles that were filled."),
)


def choice_options(command: _Command) -> _Command:
    """What is meant to be done on packaging day."""
    return _with(command,
        click.option("--target", metavar="CO2", help="Carbon dioxide that the beer should hold: 2.4volumes or 4.7g/L."),
        _CONTAINER,
        click.option(
            "--container-limit", metavar="PRESSURE|CO2",
            help="What this very container bears, as its maker states: 3.5bar, 50psi, or 4.5volumes at 20 °C.",
        ),
        _SUGAR,
        click.option("--losses", metavar="VOLUME", help="That stays behind. Default: a tenth, at most 1.9 L."),
        click.option("--bottles", metavar=BOTTLES, help="Bottles there are to fill; a size alone: as many as needed."),
    )  # fmt: skip


moved_option = click.option(
    "--moved",
    metavar="VOLUME",
    help="Beer that is moved off the sediment, as measured. Default: the batch's, less losses.",
)
"""For a command that reckons with it and keeps nothing."""


def done_options(command: _Command) -> _Command:
    """What was measured and done on packaging day."""
    return _with(command, *_DONE)


def close_options(command: _Command) -> _Command:
    """The same, and what it was done with, for whoever made no plan."""
    return _with(command, *_DONE, _SUGAR, _CONTAINER)


def _with(command: _Command, *options: Callable[[_Command], _Command]) -> _Command:
    for option in reversed(options):
        command = option(command)
    return command


_SUGARS_CALLED = CALLED | {
    "anhydrous-dextrose": "dextrose-anhydrous", "gyle": "reserved-wort", "speise": "reserved-wort",
    "wort": "reserved-wort",
}  # fmt: skip
"""Other names of the trade for the same."""
_NEAR = 0.6


_PRIMES_NOTHING = {
    "lactose": "yeast does not ferment lactose", "milk-sugar": "yeast does not ferment milk sugar",
    "maltodextrin": "yeast hardly ferments maltodextrin", "maltodextrine": "yeast hardly ferments maltodextrin",
    "dextrin": "yeast hardly ferments dextrin", "sweetener": "yeast does not ferment sweeteners",
    "stevia": "yeast does not ferment stevia", "erythritol": "yeast does not ferment erythritol",
    "xylitol": "yeast does not ferment xylitol",
}  # fmt: skip
"""What sweetens beer and makes no gas. Common practice, no source."""


def _sugar(text: str, option: str, _settings: Settings) -> str:
    typed = "-".join(text.strip().lower().replace("_", " ").split())
    name = _SUGARS_CALLED.get(typed, typed)
    if name in SUGAR_NAMES:
        return name
    if typed in _PRIMES_NOTHING:
        raise UsageError(
            f"{option} is {text!r}: {_PRIMES_NOTHING[typed]}, so it primes nothing; expected one of "
            f"{', '.join(SUGAR_NAMES)}"
        )
    called = {word: sugar for word, sugar in _SUGARS_CALLED.items() if sugar in SUGAR_NAMES}
    near = difflib.get_close_matches(name, [*SUGAR_NAMES, *called], n=1, cutoff=_NEAR)
    hint = f"did you mean {called.get(near[0], near[0])}?" if near else f"expected one of {', '.join(SUGAR_NAMES)}"
    raise UsageError(f"{option} is {text!r}, which is not known; {hint}")


def _lots(text: str, option: str, settings: Settings) -> list[list[float]]:
    return [[lot.volume_l, lot.count] for lot in bottle_lots(text, option, settings)]


def _counted_lots(text: str, option: str, settings: Settings) -> list[list[float]]:
    lots = _lots(text, option, settings)
    if any(count == 0 for _, count in lots):
        raise UsageError(f"{option} is {text!r}, expected how many of each were filled, such as {BOTTLES}")
    return lots


_READ: dict[str, tuple[str, Callable[[str, str, Settings], Any]]] = {
    "--target": ("target_g_l", target_g_l),
    "--container": ("container", container_name),
    "--container-limit": ("limit_bar", container_limit_bar),
    "--priming-sugar": ("sugar", _sugar),
    "--losses": ("losses_l", volume_l),
    "--bottles": ("bottles", _lots),
    "--moved": ("moved_l", volume_l),
    "--primed": ("primed_g", weight_g),
    "--filled": ("filled", _counted_lots),
}
"""For each option the key of packaging day in a batches file that it fills, and what reads its value."""

OPTION_OF_PACKAGING_KEY = MappingProxyType({key: option for option, (key, _) in _READ.items()})

_TAKEN_BACK = ("", "none")


def packaging_entered(settings: Settings, given: dict[str, Any], faults: Faults | None = None) -> dict[str, Any]:
    """Options that were given, as keys and values of packaging day in a batches file; `none` for a value takes back
    what is on record, and is None here. What is wrong goes to `faults`; without them it raises UsageError.

    Args:    given: by the names that click makes of the options; None where one was not given, or there is none.
    """
    entered: dict[str, Any] = {}
    found = Faults() if faults is None else faults
    for option, (key, read) in _READ.items():
        text = given.get(option.removeprefix("--").replace("-", "_"))
        if text is None:
            continue
        if text.strip().lower() in _TAKEN_BACK:
            entered[key] = None
            continue
        with found.each():
            value = read(text, option, settings)
            _refuse_beyond(key, value, text, option, settings)
            entered[key] = value
    if faults is None:
        found.refuse()
    return entered


def _refuse_beyond(key: str, value: Any, text: str, option: str, settings: Settings) -> None:
    """Raise UsageError, in the brewer's own units, for a number that its key does not take."""
    if key not in PACKAGING_RANGES:
        return
    least, most, _ = PACKAGING_RANGES[key]
    if not least <= value <= most:
        ends = [shown_in(settings)(key, end) for end in (least, most)]
        understood = shown_in(settings)(key, value)
        so = "" if understood in ends else f", that is {understood}"  # as rounded it would be none too little
        raise UsageError(f"{option} is {text!r}{so}; expected {value_range(*ends)}: is its unit right?")
