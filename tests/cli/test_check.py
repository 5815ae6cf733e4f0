"""`lullwort check` with a real broker, and with what is not there."""

from __future__ import annotations

import socket
from pathlib import Path
from typing import Any

Shell = Any  # the fixture's class lives in conftest.py


def test_all_that_is_wrong_with_the_settings_is_told_at_once(lullwort: Shell, settings: Path) -> None:
    settings.write_text(
        'gravity = "brix"\nzone = "Middle/Earth"\n[broker]\nport = 0\n[form.jar]\nread = "xml"\n'
        '[folder]\npath = "x"\nmapping = "none"\n[alerts]\nquiet = "late"\n'
    )
    said = lullwort("check", exits=2).stdout
    assert said.count("WRONG") == 6
    for part in (
        "gravity is 'brix'",
        "zone is 'Middle/Earth'",
        "port is 0",
        "read is 'xml'",
        "mapping is 'none'",
        "quiet is 'late'",
    ):
        assert part in said


def test_what_does_not_answer_is_told_and_all_else_is_tried(lullwort: Shell, settings: Path) -> None:
    settings.write_text(
        f'[folder]\npath = "{lullwort.folder}/none"\n[alerts]\nwebhook = "http://127.0.0.1:1/x"\n'
        f'push_file = "{lullwort.folder}/none"\n'
    )
    said = lullwort("check", exits=3).stdout
    for part in (
        "WRONG  folder:",
        "WRONG  push:",
        "WRONG  webhook: 127.0.0.1:1",
        "well   book:",
        "no service tends it now",
    ):
        assert part in said


def test_a_look_that_fails_hides_none_of_the_others(lullwort: Shell, settings: Path) -> None:
    settings.write_text('[folder]\npath = "none"\n[alerts]\nwebhook = "https://a..b/x"\n')
    said = lullwort("check", exits=3).stdout
    assert "WRONG  webhook:" in said
    assert "WRONG  folder:" in said


def test_with_a_broker_the_test_alert_goes_out(lullwort: Shell, settings: Path, cellar_broker: Any) -> None:
    settings.write_text(f'[broker]\nport = {cellar_broker.port}\nuser = "lullwort"\n')
    assert "Not authorized" in lullwort("check", exits=3).stdout
    lullwort.environment["LULLWORT_BROKER_PASSWORD"] = "lullwort-word"
    assert "takes us in" in lullwort("check").stdout
    assert "took the test alert on lullwort/alerts/-" in lullwort("check", "--alert").stdout
    cellar_broker.kill()
    assert "cannot be reached" in lullwort("check", exits=3).stdout


def test_the_address_of_http_is_tried_with_its_token_and_certificate(lullwort: Shell, settings: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        settings.write_text(f'[http]\nlisten = "127.0.0.1:{port}"\n')
        assert f"WRONG  http: 127.0.0.1:{port}: cannot be listened on: Address already in use" in str(
            lullwort("check", exits=3).stdout
        )
    assert f"well   http: 127.0.0.1:{port}: can be listened on" in lullwort("check").stdout
    lullwort.write("token", "")
    settings.write_text(f'[http]\nlisten = "127.0.0.1:{port}"\ntoken_file = "{lullwort.folder}/token"\n')
    assert "token: no token can be read from it" in lullwort("check", exits=3).stdout
    settings.write_text(
        f'[http]\nlisten = "127.0.0.1:{port}"\ncertificate_file = "{lullwort.folder}/token"\n'
        f'key_file = "{lullwort.folder}/token"\n'
    )
    assert "token: cannot be used with" in lullwort("check", exits=3).stdout
