"""What a batch teaches of its sensors' answer to temperature, kept with them in the book."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import msgspec

from lullwort.analysis import Lesson, Unusable, answer_of, answers_in
from lullwort.cellarbook import Book
from lullwort.records import AnswerInBatch, Batch, SensorTraits, TemperatureAnswer
from lullwort.standing import owned_span

__all__ = ["Learned", "came_to", "forget_answer", "learn_from", "traits_of"]


class Learned(NamedTuple):
    """What `batch` taught of one sensor, and what is known of that one now, with all that earlier batches taught."""

    batch: str
    lesson: Lesson
    traits: SensorTraits


def learn_from(book: Book, batch: Batch, sensor: str | None = None) -> list[Learned]:
    """Work out what a batch teaches of its sensors, or of the one that is named, and keep it with them.

    What the same batch taught before is replaced.
    """
    from_us, to_us = owned_span(batch, book.batches.all(batch.vessel))
    readings = book.readings.together(batch.vessel, from_us, to_us)
    if not len(readings):
        return []
    newest_us = int(readings.at_us.max())
    return [
        _kept(book, batch, lesson, newest_us)
        for lesson in answers_in(batch, readings, newest_us)
        if sensor in (None, lesson.sensor)
    ]


def came_to(traits: SensorTraits) -> TemperatureAnswer | Unusable | None:
    """What is taken off of a sensor's answer, why what was learned is not, or None where nothing was."""
    return traits.answer or answer_of(traits.answers, 0.0, 0)


def forget_answer(book: Book, sensor: str) -> bool:
    """Forget what was learned of a sensor's answer to temperature; tells whether there was anything."""
    return book.equipment.put_sensor(msgspec.structs.replace(traits_of(book, sensor), answer=None, answers=()))


def traits_of(book: Book, sensor: str) -> SensorTraits:
    """What is kept with a sensor; nothing but its name where nothing is."""
    return next((traits for traits in book.equipment.sensors() if traits.name == sensor), SensorTraits(name=sensor))


def _kept(book: Book, batch: Batch, lesson: Lesson, newest_us: int) -> Learned:
    known = traits_of(book, lesson.sensor)
    answers = [answer for answer in known.answers if answer.batch != batch.name]
    if lesson.answer is not None:
        answers.append(lesson.answer)
    traits = msgspec.structs.replace(known, answers=tuple(answers), answer=_usable(answers, batch, newest_us))
    if traits != known:
        book.equipment.put_sensor(traits)
    return Learned(batch.name, lesson, traits)


def _usable(answers: Sequence[AnswerInBatch], batch: Batch, newest_us: int) -> TemperatureAnswer | None:
    found = answer_of(answers, batch.reference_c, newest_us)
    return found if isinstance(found, TemperatureAnswer) else None
