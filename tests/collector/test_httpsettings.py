"""What the settings say of the service's own address."""

from __future__ import annotations

from pathlib import Path

import pytest

from lullwort.collector import HttpSettings, checked_http, http_token
from lullwort.errors import SourceError, UsageError


def test_names_and_the_length_of_files_are_taken() -> None:
    settings = checked_http("http", {"names": ["Cellar.lan.", "brew_house"], "upload_mib": 8})
    assert (settings.names, settings.upload_mib) == (("cellar.lan", "brew_house"), 8)


@pytest.mark.parametrize(
    ("entered", "says"),
    [
        ({"names": "cellar.lan"}, "names is 'cellar.lan', expected a list of names"),
        ({"names": [1]}, "expected a list of names"),
        ({"names": ["https://cellar.lan"]}, "expected a list of names"),
        ({"names": ["cellar.lan:8137"]}, 'expected a list of names without "https://" and port'),
        ({"names": ["-x"]}, "expected a list of names"),
        ({"upload_mib": 0}, "a whole number from 1 to 1024 MiB"),
        ({"name": ["x"]}, "did you mean 'names'?"),
    ],
)
def test_an_error_names_the_key(entered: dict[str, object], says: str) -> None:
    with pytest.raises(UsageError) as error:
        checked_http("http", entered)
    assert says in str(error.value)


@pytest.mark.parametrize(
    ("host", "certificate", "beyond", "legible"),
    [
        ("127.0.0.1", None, False, False), ("127.8.0.1", None, False, False), ("::1", None, False, False),
        ("0.0.0.0", None, True, True), ("192.0.2.7", None, True, True), ("::", "c", True, False),
        ("::1", "c", False, False),
    ],
)  # fmt: skip
def test_who_can_reach_it_and_read_along(host: str, certificate: str | None, beyond: bool, legible: bool) -> None:
    settings = HttpSettings(host=host, certificate_file=None if certificate is None else Path(certificate))
    assert (settings.beyond_loopback, settings.legible) == (beyond, legible)


def test_it_listens_on_this_machine_alone_unless_it_is_told_otherwise() -> None:
    settings = checked_http("http", {})
    assert settings.host == "127.0.0.1"
    assert not settings.beyond_loopback
    with pytest.raises(UsageError, match="beyond this machine it listens only with a token"):
        checked_http("http", {"listen": "0.0.0.0:8137"})


def test_the_token_is_the_files_text_without_blanks_around_it(tmp_path: Path) -> None:
    path = tmp_path / "token"
    settings = HttpSettings(token_file=path)
    with pytest.raises(SourceError, match="cannot be read"):
        http_token(settings)
    path.write_bytes(b"\xff")
    with pytest.raises(SourceError, match="cannot be read"):
        http_token(settings)
    path.write_text(" \n")
    with pytest.raises(SourceError, match="holds no token"):
        http_token(settings)
    path.write_text(" a b\n")
    assert http_token(settings) == "a b"
    assert http_token(HttpSettings()) is None
