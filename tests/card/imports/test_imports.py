"""A log of others handed in at the card: looked at, stored as it was shown, and taken back; and what is no log."""

from __future__ import annotations

import io
import os
import re
import time
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from lullwort.card.commands.commands import BusyError, Commands, Ran
from lullwort.card.imports import handler
from lullwort.cellarbook import Intake, open_book
from lullwort.collector import HttpSettings, Mapping
from lullwort.errors import RefusedError

pytestmark = pytest.mark.usefixtures("unmeasured")

Guest = Any  # the classes of these fixtures live in conftest.py
EVER = (-(2**62), 2**62)
STATED = {"vessel": "west", "zone": "UTC", "times": "dmy"}
HOSTILE = '<img src=x onerror="alert(1)">'


def german(rows: int = 60, wrong: str = "") -> bytes:
    """A log as a German spreadsheet exports it: nothing in it says which vessel, or which zone."""
    lines = ["Datum;Uhrzeit;Restextrakt [°P];Temperatur;Bemerkung"]
    for n in range(rows):
        hour = n + 6 if n < 40 else n + 16
        lines.append(f"{9 + hour // 24:02d}.03.2026;{hour % 24:02d}:00;{12.9 - 0.02 * n:.2f};19,3;")
    lines = [lines[0], *(re.sub(r";(\d+)\.(\d+);", r";\1,\2;", line) for line in lines[1:])]
    if wrong:
        lines.append(f"28.03.2026;10:00;{wrong};19,3;")
    return "\r\n".join([*lines, ""]).encode("utf-8-sig")


@pytest.fixture
def guest(
    small_cellar: Path,
    served_with: Callable[..., Any],
    guest_at: Callable[[str], Guest],
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[Guest]:
    mappings = {"keller": Mapping(zone="Europe/Berlin", vessel="keller", decimal="comma")}
    saved = small_cellar.with_name("settings.toml")
    saved.write_text('[mapping.keller]\nzone = "Europe/Berlin"\nvessel = "keller"\ndecimal = "comma"\n')
    monkeypatch.chdir(saved.parent)
    monkeypatch.setenv("LULLWORT_SETTINGS", saved.name)
    with served_with(small_cellar, mappings=mappings) as served:
        guest = guest_at(served.url)
        guest.get("/import")
        yield guest


def came_to(guest: Guest, seen: Any) -> Any:
    """What it came to, once nothing is under way any more."""
    give_up = time.monotonic() + 30.0
    while "Refresh" in seen.headers:
        assert time.monotonic() < give_up
        time.sleep(0.05)
        seen = guest.get(seen.path)
    return seen


def room(book: Path) -> list[str]:
    """What lies in the card's own folder."""
    folder = book.with_name(f"{book.name}.card")
    return sorted(path.name for path in folder.rglob("*") if path.is_file()) if folder.exists() else []


def test_a_foreign_log_goes_from_its_doubts_into_the_book_and_out_again(guest: Guest, small_cellar: Path) -> None:
    doubtful = came_to(guest, guest.hand_in("/import", "Gärkeller Süd.csv", german(wrong="viel")))
    assert doubtful.status == 200
    assert "2 things cannot be told from the file. State it here" in doubtful.words
    assert "No column names the vessel: say in which vessel it was." in doubtful.words
    assert "have no offset: say of which zone they are, as Europe/Berlin." in doubtful.words
    assert 'aria-invalid="true"' in re.findall(r'<input[^>]* name="vessel"[^>]*>', doubtful.text)[0]
    assert "/store/" not in doubtful.text
    again = doubtful.action()
    refused = came_to(guest, guest.post(again, {"vessel": "west", "zone": "Europe/Nowhere"}))
    assert refused.status == 422
    assert "Europe/Nowhere" in refused.words
    shown = came_to(guest, guest.post(again, {"vessel": "west", "zone": "Europe/Berlin"}))
    assert "Nothing is doubtful. 60 readings would be stored." in shown.words
    assert "Mon 9 Mar 2026 05:00 UTC" in shown.words
    assert "12.9 °P" in shown.words
    assert (
        "Gravity in °P, temperature in °C, decimal comma, times as day, month, year, zone Europe/Berlin" in shown.words
    )
    assert "gap of 11 h from" in shown.words
    assert "1 row would be set aside" in shown.words
    assert "62 Restextrakt [°P] viel °P such as 12.9" in shown.words
    with open_book(small_cellar) as book:
        assert "west" not in book.readings.vessels()
    store = shown.action("/store/3")
    # Another tab had it read otherwise meanwhile: what was not shown last is not stored.
    assert "Nothing is doubtful" in came_to(guest, guest.post(store.replace("/store/3", "/store/2"))).words
    stored = came_to(guest, guest.post(store))
    assert "60 stored , 0 already known, 1 set aside, of 61 rows." in stored.words
    assert "Where a batch is open its answer follows within a minute. Else open one" in stored.words
    assert room(small_cellar) == []
    assert came_to(guest, guest.post(store)).words == stored.words  # who taps twice means it once
    with open_book(small_cellar) as book:
        assert len(list(book.readings.of("west", *EVER))) == 60
        (imported,) = book.imports.recent(1)
    assert (imported.place, imported.readings, imported.set_aside) == ("Gärkeller-Süd.csv", 60, 1)

    listed = guest.get("/import")
    assert "Gärkeller-Süd.csv" in listed.words
    asked = guest.get(f"/import/withdraw/{imported.name}")
    assert "Take Gärkeller-Süd.csv back?" in asked.words
    with open_book(small_cellar) as book:
        assert book.imports.get(imported.name).in_use
    taken_back = guest.post(asked.action(f"/{imported.name}"))
    assert "Gärkeller-Süd.csv is taken back" in taken_back.words
    with open_book(small_cellar) as book:
        assert list(book.readings.of("west", *EVER)) == []
    emptied = guest.get("/vessel/west")
    assert (emptied.status, guest.get("/vessel/never-was").status) == (200, 404)
    assert "It has no batch, and no readings since its only import was taken back." in emptied.words
    assert "Gärkeller-Süd.csv, taken back" in emptied.words
    assert "It is not in use: taken back" in guest.get(f"/import/withdraw/{imported.name}").words


def test_a_saved_mapping_and_columns_by_number_settle_what_is_doubtful(guest: Guest) -> None:
    log = german().replace(b"Restextrakt [\xc2\xb0P]", b"A").replace(b"Temperatur", b"B")
    seen = came_to(guest, guest.hand_in("/import", "keller.csv", log, {"mapping": "keller"}))
    assert "No column looks like the gravity: say which it is." in seen.words
    stated = {"mapping": "keller", "column-gravity": "#3", "column-temperature": "none"}
    seen = came_to(guest, guest.post(seen.action(), stated))
    assert "day and month both fit: is it day, month, year, or month, day, year?" in seen.words
    stated |= {"times": "dmy", "gravity": "plato"}
    seen = came_to(guest, guest.post(seen.action(), stated))
    assert "60 readings would be stored" in seen.words
    assert "no temperature" in seen.words
    assert "keller" in seen.words


def test_what_is_hostile_is_shown_as_text_and_runs_nothing(guest: Guest, small_cellar: Path) -> None:
    rows = [f"2026-03-09T{hour:02d}:00:00Z,north,1.050,20.0,x" for hour in range(12)]
    rows.append(f'2026-03-09T13:00:00Z,north,"{HOSTILE.replace(chr(34), chr(34) * 2)}",20.0,x')
    log = "\n".join([f"time,vessel,gravity,temperature,{HOSTILE}".replace('"', ""), *rows, ""]).encode()
    names = {
        "../../etc/passwd": "passwd", 'a"b\n<i>.csv': "a-b-i-.csv", "click.py": "click.py", "-rf": "rf",
        "\u202egnp.csv": "gnp.csv",
    }  # fmt: skip
    for number, (name, safe) in enumerate(names.items()):
        seen = came_to(guest, guest.hand_in("/import", name, log))
        assert f"<h1>{safe}</h1>" in seen.text, seen.words
        assert "12 readings would be stored" in seen.words
        assert HOSTILE in seen.words
        assert "<img" not in seen.text
        assert f"14 gravity {HOSTILE}" in seen.words
        assert len(room(small_cellar)) == min(number + 1, 4)  # the oldest one that nobody works at goes first
    stored = came_to(guest, guest.post(seen.action("/store/1")))
    assert "<img" not in stored.text
    assert HOSTILE in stored.words
    assert not (small_cellar.parent / "passwd").exists()


def test_a_file_of_older_programs_is_read_once_its_encoding_is_confirmed(guest: Guest) -> None:
    log = german().decode("utf-8-sig").replace("Bemerkung", "Gärkeller").encode("windows-1252")
    seen = came_to(guest, guest.hand_in("/import", "kühl.csv", log, {"vessel": "west", "zone": "Europe/Berlin"}))
    assert seen.status == 422
    assert "Look again: kühl.csv is not text in UTF-8. Windows-1252 is filled in here" in seen.words
    assert "Something that is needed failed" not in seen.words
    assert '<option value="windows-1252" selected>' in seen.text
    assert seen.text.index('id="f-encoding"') < seen.text.index("<details")  # not folded away
    stated = {"vessel": "west", "zone": "Europe/Berlin", "encoding": "windows-1252", "times": "dmy"}
    shown = came_to(guest, guest.post(seen.action(), stated))
    assert "60 readings would be stored" in shown.words
    assert "Restextrakt [°P]" in shown.words


def test_a_zone_that_only_the_settings_have_is_asked_about_beside_the_times(guest: Guest, small_cellar: Path) -> None:
    saved = small_cellar.with_name("settings.toml")
    saved.write_text(f'zone = "America/Denver"\n{saved.read_text()}')
    seen = came_to(guest, guest.hand_in("/import", "log.csv", german(), {"vessel": "west", "times": "dmy"}))
    assert "have no offset. America/Denver is assumed from your settings: is it the zone of this log?" in seen.words
    assert re.search(r'<input[^>]* name="zone"[^>]* aria-invalid="true"[^>]* value="America/Denver"', seen.text)
    assert "Its first rows (times in America/Denver, assumed from your settings)" in seen.words
    assert "/store/" not in seen.text
    # Who stores it all the same has not been shown how.
    assert "/store/" not in came_to(guest, guest.post(f"{seen.action()}/store/1")).text
    settled = came_to(guest, guest.post(seen.action(), {"vessel": "west", "zone": "America/Denver", "times": "dmy"}))
    assert "60 readings would be stored" in settled.words
    assert "assumed" not in settled.words
    # A mapping that names its zone has stated it; times with an offset need none.
    named = came_to(guest, guest.hand_in("/import", "log.csv", german(), {"mapping": "keller", "times": "dmy"}))
    assert "60 readings would be stored" in named.words
    own = re.sub(rb"(\d\d)\.03\.2026;(\d\d:00)", rb"2026-03-\1T\2Z;", german())
    assert "assumed" not in came_to(guest, guest.hand_in("/import", "log.csv", own, {"vessel": "west"})).words


def test_what_is_no_log_gets_a_sentence(guest: Guest, small_cellar: Path) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("log.csv", german())
    for name, content, says in (
        ("", b"", "No file was chosen."),
        ("log.csv", b"", "log.csv is empty. Was it still being written when it was chosen?"),
        ("log.zip", packed.getvalue(), "log.zip"),
        ("letter.txt", b"Dear brewer,\nall is well here.\n", "letter.txt"),
        ("latin.csv", "Zeit;Dichte;Wärme\n".encode("latin-1") + b"\xff\xfe\x81;;\n", "latin.csv"),
        ("half.parquet", b"PAR1" + bytes(200), "half.parquet"),
        ("half.senml", b'[{"bn": ', "half.senml"),
    ):
        seen = came_to(guest, guest.hand_in("/import", name, content))
        assert seen.status in (200, 422), (name, seen.words)
        assert says in seen.words, (name, seen.words)
        assert "/store/" not in seen.text, (name, seen.words)
        assert "Traceback" not in seen.words
        assert str(small_cellar.parent) not in seen.words
    wrong = guest.hand_in("/import", "log.csv", german(), {"times": "backwards"})
    assert (wrong.status, "That is none of those in the list." in wrong.words) == (422, True)
    assert guest.hand_in("/import", "log.csv", german(), {"vessel": "x" * 400}).status == 422
    gone = guest.get("/import/nothing-of-this-name")
    assert (gone.status, "not here any more" in gone.words) == (404, True)
    assert guest.get("/import/withdraw/0000000000").status == 404
    with open_book(small_cellar) as book:
        live = next(one for one in book.imports.all() if one.live)
        with pytest.raises(RefusedError):
            book.imports.get("zz")
    assert guest.get(f"/import/withdraw/{live.name}").status == 404
    assert guest.post("/import/withdraw/0000000000", token="made up").status == 403


def test_what_takes_long_goes_on_while_its_page_looks_again_by_itself(
    guest: Guest, monkeypatch: pytest.MonkeyPatch, small_cellar: Path
) -> None:
    monkeypatch.setattr(handler, "_PATIENCE_S", 0.0)
    waiting = guest.hand_in("/import", "log.csv", german())
    assert (waiting.status, waiting.headers["Refresh"]) == (200, "3")
    assert (
        "It is being read to see what it holds; nothing is stored yet. It goes on if you leave this page"
        in waiting.words
    )
    assert waiting.path == guest.post(waiting.path, {"vessel": "west"}).path  # which waits its turn
    assert "cannot be told from the file" in came_to(guest, waiting).words
    monkeypatch.setattr(handler, "_CHECK_WITHIN_S", 0.001)
    late = came_to(guest, guest.post(waiting.path, {"vessel": "west"}))
    assert (late.status, "and was given up. Hand it in in parts." in late.words) == (422, True)
    with open_book(small_cellar) as book:
        assert book.readings.vessels() == ["loft"]


@pytest.mark.usefixtures("held_up")
def test_so_many_are_worked_at_and_none_is_left_when_the_service_ends(
    small_cellar: Path, served_with: Callable[..., Any], guest_at: Callable[[str], Guest],
    monkeypatch: pytest.MonkeyPatch, running: Callable[[Path], list[int]], comes_true: Callable[..., bool],
) -> None:  # fmt: skip
    monkeypatch.setattr(handler, "_PATIENCE_S", 0.0)
    with served_with(small_cellar) as served:
        guest = guest_at(served.url)
        guest.get("/import")
        for _ in range(4):
            assert "Refresh" in guest.hand_in("/import", "log.csv", german()).headers
        guest.get("/import")
        fifth = guest.hand_in("/import", "log.csv", german())
        assert (fifth.status, "4 files are being read or stored just now" in fifth.words) == (503, True)
        assert len(room(small_cellar)) == 4
        assert comes_true(lambda: len(running(small_cellar)) == 1)
    assert running(small_cellar) == []
    assert not small_cellar.with_name(f"{small_cellar.name}.card").exists()


def test_an_import_is_withdrawn_while_another_is_stored_which_ends_with_the_service(
    small_cellar: Path, tmp_path: Path, served_with: Callable[..., Any], guest_at: Callable[[str], Guest],
    monkeypatch: pytest.MonkeyPatch, running: Callable[[Path], list[int]], comes_true: Callable[..., bool],
) -> None:  # fmt: skip
    with open_book(small_cellar) as book:
        book.imports.begin(Intake("csv", "before.csv", "0" * 64), 1).finish(2)
        book.imports.begin(Intake("csv", "cut-off.csv", "1" * 64), 3).commit()
        cut_off, before = book.imports.recent(2)
    run, for_ever = Commands.run, tmp_path / "for-ever.toml"
    os.mkfifo(for_ever)

    async def storing_for_ever(commands: Commands, *words: str, **how: Any) -> Ran:
        if "--store-only" in words:
            commands._environment["LULLWORT_SETTINGS"] = str(for_ever)
        return await run(commands, *words, **how)

    monkeypatch.setattr(Commands, "run", storing_for_ever)
    with served_with(small_cellar) as served:
        guest = guest_at(served.url)
        guest.get("/import")
        shown = came_to(guest, guest.hand_in("/import", "log.csv", german(), STATED))
        monkeypatch.setattr(handler, "_PATIENCE_S", 0.0)
        assert "It is being stored." in guest.post(shown.action("/store/1")).words
        assert comes_true(lambda: running(small_cellar))
        asked = guest.get(f"/import/withdraw/{before.name}")
        assert "before.csv is taken back" in guest.post(asked.action(f"/{before.name}")).words
        assert "It is being stored." in guest.get(shown.path).words
    assert running(small_cellar) == []
    with served_with(small_cellar) as served:
        gone = guest_at(served.url).get(shown.path)
        assert gone.status == 404
        assert "Of these a part is stored and does not count yet." in gone.words
        assert f"cut-off.csv {cut_off.name}" in gone.words
        assert "before.csv" not in gone.words


def test_so_many_are_withdrawn_that_this_one_is_not(
    guest: Guest, small_cellar: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_book(small_cellar) as book:
        book.imports.begin(Intake("csv", "before.csv", "0" * 64), 1).finish(2)
        asked = guest.get(f"/import/withdraw/{book.imports.recent(1)[0].name}")

    async def busy(*_words: str, **_how: object) -> None:
        raise BusyError

    monkeypatch.setattr(Commands, "run", busy)
    page = guest.post(asked.action())
    assert (page.status, "Others are being taken back just now, so this one was not." in page.words) == (503, True)


def test_what_takes_more_memory_than_there_is_for_it_is_told_in_a_sentence(
    guest: Guest, monkeypatch: pytest.MonkeyPatch
) -> None:
    ended = Ran(1, "", "Exception ignored in: x\nlullwort: there is no room for it in the 9 MiB of memory\n")
    for ran, says in (
        (ended, "There is no room for it in the 9 MiB"),
        (Ran(-9, "", ""), "than the 1024 MiB that one"),
    ):

        async def run(*_words: str, ran: Ran = ran, **_how: object) -> Ran:
            return ran

        monkeypatch.setattr(Commands, "run", run)
        seen = came_to(guest, guest.hand_in("/import", "log.csv", german()))
        assert (seen.status, says in seen.words) == (422, True), seen.words


def test_a_long_name_is_cut_and_json_is_taken_up_to_a_length_of_its_own(
    guest: Guest, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = came_to(guest, guest.hand_in("/import", f"{chr(0x20000) * 80}.csv", german()))
    assert (seen.status, f"<h1>{chr(0x20000) * 25}.csv</h1>" in seen.text) == (200, True)
    monkeypatch.setattr(handler, "_MOST_JSON_BYTES", 1 << 20)
    refused = guest.hand_in("/import", "log.SENML", bytes((1 << 20) + 1))
    assert (refused.status, "longer than the 1 MiB that are taken of JSON" in refused.words) == (422, True)


def test_a_file_that_is_too_long_is_refused_before_it_is_held(
    small_cellar: Path, served_with: Callable[..., Any], guest_at: Callable[[str], Guest]
) -> None:
    with served_with(small_cellar) as served:
        port = int(served.url.rpartition(":")[2])
    small = HttpSettings(port=port, upload_mib=1)
    with served_with(small_cellar, http=msgspec.structs.replace(small)) as served:
        guest = guest_at(served.url)
        assert "of up to 1 MiB" in guest.get("/import").words
        assert guest.hand_in("/import", "log.csv", bytes((1 << 20) + 1000)).status in (413, 422)
        assert room(small_cellar) == []
