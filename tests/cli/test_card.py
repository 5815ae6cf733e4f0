"""`lullwort card`: where the card is, and what stands in the way of a phone."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

Shell = Any  # the fixture's class lives in conftest.py


@pytest.fixture(autouse=True)
def token(lullwort: Shell) -> None:
    (lullwort.folder / "token").write_text("s3cret/&\n")


@pytest.mark.usefixtures("settings")
def test_without_http_it_says_what_is_missing(lullwort: Shell) -> None:
    said = lullwort("card", exits=2).stderr
    assert "[http] is missing" in said
    assert 'listen = "127.0.0.1:8137"' in said


def test_on_this_machine_alone_it_says_how_a_phone_gets_there(lullwort: Shell, settings: Path) -> None:
    settings.write_text('[http]\nlisten = "[::1]:8137"\n')
    said = lullwort("card").stdout
    assert "http://[::1]:8137/\n" in said
    assert "set listen, token_file, certificate_file and key_file" in " ".join(said.split())
    assert 'listen = "0.0.0.0:8443"' in said
    assert "WITHOUT TLS" not in said


def test_beyond_this_machine_the_link_has_the_token_and_the_want_of_tls_is_told(
    lullwort: Shell, settings: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("socket.gethostname", lambda: "Board.home.example")
    settings.write_text(
        f'[http]\nlisten = "0.0.0.0:8443"\ntoken_file = "{lullwort.folder}/token"\nnames = ["cellar.lan"]\n'
    )
    said = lullwort("card").stdout
    first, *others = re.findall(r"http://(\S+):8443/enter\?token=s3cret%2F%26\n", said)
    assert first == "cellar.lan"
    assert "board.local" in others
    assert all(re.fullmatch(r"[0-9.]+", other) for other in others[1:])
    assert "WITHOUT TLS" in said


def test_with_tls_there_is_nothing_to_warn_of(lullwort: Shell, settings: Path) -> None:
    settings.write_text(
        f'[http]\nlisten = "[2001:db8::7]:8443"\ntoken_file = "{lullwort.folder}/token"\n'
        'certificate_file = "c"\nkey_file = "k"\n'
    )
    said = lullwort("card").stdout
    assert "https://[2001:db8::7]:8443/enter?token=s3cret%2F%26\n" in said
    assert "WITHOUT TLS" not in said
    assert "phone" not in said


def test_a_token_that_cannot_be_read_is_told(lullwort: Shell, settings: Path) -> None:
    settings.write_text('[http]\ntoken_file = "none"\n')
    assert "none: the token cannot be read" in lullwort("card", exits=3).stderr


def test_check_warns_too(lullwort: Shell, settings: Path) -> None:
    settings.write_text(f'[http]\nlisten = "0.0.0.0:48137"\ntoken_file = "{lullwort.folder}/token"\n')
    assert "WITHOUT TLS whoever is on the network can read the token" in lullwort("check", exits=None).stdout
