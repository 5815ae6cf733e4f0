"""Forms filled in as a browser has them, and the command that they are given to, within the process of the tests."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

import msgspec
import pytest

from lullwort.card import Cellar, Tended
from lullwort.card.commands.commands import Ran
from lullwort.card.commands.said import faults_of
from lullwort.card.forms import Form
from lullwort.card.pages.chosen import unit_options
from lullwort.cellarbook import Book, open_book
from lullwort.cli import main
from lullwort.records import Batch, Instrument, parse_instant
from lullwort.settings import Settings

PITCHED_US = parse_instant("2026-05-04T18:00:00Z")
NORTH = Batch(
    vessel="north", name="north-1", pitched_us=PITCHED_US, original_gravity=1.052, expected_final_gravity=(1.01, 1.014),
    volume_l=19.0, yeast_min_c=16.0,
)  # fmt: skip


class Desk(NamedTuple):
    """A book with one open batch and two instruments, and the settings of whoever asks."""

    book: Path
    settings: Settings

    def form(self, made: Callable[[Cellar, Settings], Form | None]) -> Form:
        with self.opened() as book:
            form = made(Cellar(book, lambda: Tended({}, ""), lambda: PITCHED_US), self.settings)
        assert form is not None
        return form

    def batch(self, name: str = "north-1") -> Batch:
        with self.opened() as book:
            return book.batches.get(name)

    def opened(self) -> contextlib.AbstractContextManager[Book]:
        return open_book(self.book)

    def enter(self, form: Form, **typed: str) -> tuple[Ran | None, dict[str, str]]:
        """How the command ended, None where it was not asked, and what was wrong, by name of the field."""
        entered = shown(form) | {name.replace("_", "-"): value for name, value in typed.items()}
        faults = form.faults(entered)
        if faults:
            return None, faults
        ran = self.run(form.words(entered, unit_options(self.settings)))
        return ran, {} if ran.done else faults_of(ran, form.fields, form.batch)

    def run(self, words: list[str]) -> Ran:
        """The command itself, as it would end as a process."""
        out, err = io.StringIO(), io.StringIO()
        with pytest.MonkeyPatch.context() as here, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            for name in [name for name in os.environ if name.startswith("LULLWORT_")]:
                here.delenv(name)
            here.setenv("LULLWORT_BOOK", str(self.book))
            here.setenv("XDG_CONFIG_HOME", str(self.book.parent))
            here.setenv("COLUMNS", "10000")
            here.setattr(sys, "argv", ["lullwort", *words])
            code = 0
            try:
                main()
            except SystemExit as left:
                code = int(left.code or 0)
        return Ran(code, out.getvalue(), err.getvalue())


def shown(form: Form) -> dict[str, str]:
    """What a browser posts of a form as it is first shown."""
    values = {field.name: form.values.get(field.name, "") for field in form.fields}
    for field in form.fields:
        if field.choices and values[field.name] not in dict(field.choices):
            values[field.name] = field.choices[0][0]
    was: Mapping[str, str] = {f"was-{name}": form.values.get(name, "") for name in values} if form.changes else {}
    return {**values, **was}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    path = tmp_path / "cellar.book"
    with open_book(path) as book:
        book.batches.put(NORTH)
        book.equipment.put_instrument(Instrument(name="long"))
        book.equipment.put_instrument(Instrument(name="prism", kind="refractometer"))
    return Desk(path, Settings(book=path, gravity="sg", temperature="C", zone="UTC"))


@pytest.fixture
def desk_in(desk: Desk) -> Callable[..., Desk]:
    """The same book for somebody who reads other units."""
    return lambda **chosen: desk._replace(settings=msgspec.structs.replace(desk.settings, **chosen))
