"""`lullwort sensor`: what is known of each sensor, whatever it floats in."""

from __future__ import annotations

import difflib
import json
from collections.abc import Sequence

import click

from lullwort.analysis import ANSWER_EXPLAINED
from lullwort.cellarbook import Book, open_book
from lullwort.cli.common import SHOWN, as_json_option, with_settings
from lullwort.cli.explaining import as_documents, explain_option, say_explained
from lullwort.cli.lines import say
from lullwort.cli.sensorlearning import forget_answer, learn_from, traits_of
from lullwort.cli.showsensor import Heard, Sensor, learned_says, sensor_document, sensor_lines
from lullwort.errors import RefusedError, UsageError
from lullwort.records import Batch
from lullwort.settings import Settings
from lullwort.standing import owned_span

__all__ = ["sensor"]


@click.command(short_help="Tell what is known of each sensor, and learn how it answers to temperature.")
@click.argument("name", required=False)
@click.option("--learn", is_flag=True, help="Learn its answer to temperature from every batch it was heard in.")
@click.option("--forget", is_flag=True, help="Forget what was learned of its answer; nothing is taken off then.")
@explain_option
@as_json_option
@with_settings("book", *SHOWN)
def sensor(settings: Settings, name: str | None, learn: bool, forget: bool, explain: bool, as_json: bool) -> None:
    """Tell of the sensor NAME, or of all: where it was heard, in which batches, and what is kept with it.

    A float answers to temperature itself: it reads higher or lower when it gets warmer, beyond what the beer does. Its
    log shows by how much where temperature moves while gravity rests, best when a finished beer is chilled. That is
    learned by itself when a batch is closed, kept with the sensor, and taken off in every batch in which it speaks,
    those before as well. "Give or take" is two standard deviations.

    Exit 0: told. Exit 1: no such sensor, or nothing to forget.
    """
    if learn and forget:
        raise UsageError("--learn and --forget: give one of the two")
    if forget and name is None:
        raise UsageError("--forget: name the sensor whose answer to temperature is to be forgotten")
    with open_book(settings.book, create=False) as book:
        names = _names(book, name)
        if forget and not forget_answer(book, names[0]):
            raise RefusedError(f"of sensor {names[0]!r} no answer to temperature was learned")
        if learn:
            for each in names:
                _learn(book, each, settings, err=as_json)
        sensors = [_sensor(book, each) for each in names]
    if as_json:
        document = {"sensors": [sensor_document(one) for one in sensors]}
        if explain:
            document["explained"] = as_documents(ANSWER_EXPLAINED)
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
        return
    for one in sensors:
        for line in sensor_lines(one, settings):
            say(line)
    if explain:
        say_explained(ANSWER_EXPLAINED, settings.decimal)


def _names(book: Book, name: str | None) -> list[str]:
    """All sensors, or the one that is named. Raises RefusedError for an unknown one, with those that are near."""
    known = sorted({*(run[0] for run in book.readings.heard()), *(traits.name for traits in book.equipment.sensors())})
    if name is None:
        if not known:
            say("No sensor was heard yet.")
        return known
    if name not in known:
        near = difflib.get_close_matches(name, known, n=3, cutoff=0.5)
        hint = f"did you mean {' or '.join(map(repr, near))}?" if near else "`lullwort sensor` lists those it knows"
        raise RefusedError(f"the book knows no sensor {name!r}; {hint}")
    return [name]


def _learn(book: Book, name: str, settings: Settings, *, err: bool) -> None:
    for batch in _batches(book, name):
        for learned in learn_from(book, batch, name):
            say(learned_says(learned, settings), err=err)


def _sensor(book: Book, name: str) -> Sensor:
    spans: dict[str, Heard] = {}
    for of, vessel, first_us, last_us in book.readings.heard():
        if of == name:
            before = spans.get(vessel, Heard(vessel, first_us, last_us))
            spans[vessel] = Heard(vessel, min(before.first_us, first_us), max(before.last_us, last_us))
    return Sensor(traits_of(book, name), list(spans.values()), [batch.name for batch in _batches(book, name)])


def _batches(book: Book, name: str) -> Sequence[Batch]:
    """The batches in which a sensor was heard, by pitch."""
    runs = [run for run in book.readings.heard() if run[0] == name]
    batches = book.batches.all()
    return [batch for batch in batches if any(_within(run, batch, batches) for run in runs)]


def _within(run: tuple[str, str, int, int], batch: Batch, batches: Sequence[Batch]) -> bool:
    from_us, to_us = owned_span(batch, batches)
    return run[1] == batch.vessel and run[2] < to_us and run[3] >= from_us
