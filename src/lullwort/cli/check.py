"""`lullwort check`: whether all that an unattended service needs is there."""

from __future__ import annotations

import errno
import os
import shutil
import socket
import ssl
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple
from urllib.parse import urlsplit

import click
import msgspec

from lullwort.alerts import Senders, trial
from lullwort.cellarbook import open_book, sole_use
from lullwort.cli.lines import say
from lullwort.collector import BrokerLink, TopicTemplate
from lullwort.counting import counted
from lullwort.errors import BookBusyError, LullwortError
from lullwort.records import NOT_BEFORE_US
from lullwort.settings import Settings, broker_password, load_settings, settings_faults, settings_path

__all__ = ["check"]

_CONNECT_S = 10.0
_LEAST_BYTES = 200 << 20


class Found(NamedTuple):
    """What a look at one thing came to."""

    well: bool
    says: str


@click.command(short_help="Try all that the unattended service needs, and tell what is wrong.")
@click.option("--alert", is_flag=True, help="Send a test alert to every target, for real.")
def check(alert: bool) -> None:
    """Try all that the unattended service needs, and tell all that is wrong at once.

    Exit 0: all is well. Exit 2: the settings are wrong. Exit 3: something does not answer.
    """
    path = settings_path(os.environ)
    faults = settings_faults(os.environ)
    for fault in faults:
        say(f"WRONG  settings: {fault}")
    if faults:
        raise SystemExit(2)
    settings = load_settings(os.environ)
    say(f"well   settings: {path}" if path.exists() else f"well   settings: none ({path} is not there), defaults hold")
    looks: list[tuple[str, Callable[[], Found]]] = [
        ("clock", _clock),
        ("disk", lambda: _disk(settings)),
        ("book", lambda: _book(settings)),
        ("broker", lambda: _broker(settings, alert)),
        ("folder", lambda: _folder(settings)),
        ("http", lambda: _http(settings)),
        ("push", lambda: _target(settings, "push", alert)),
        ("webhook", lambda: _target(settings, "webhook", alert)),
    ]
    wrong = 0
    for name, look in looks:
        try:
            found = look()
        except (LullwortError, OSError, ValueError) as exc:  # a look that fails hides none of the others
            found = Found(False, str(exc))
        wrong += not found.well
        say(f"{'well ' if found.well else 'WRONG'}  {name}: {found.says}")
    raise SystemExit(3 if wrong else 0)


def _now_us() -> int:
    return time.time_ns() // 1000


def _clock() -> Found:
    if _now_us() < NOT_BEFORE_US:
        return Found(False, f"it shows {time.strftime('%Y-%m-%d')}, which is past; set it first")
    if shutil.which("timedatectl") is None:
        return Found(True, "it shows a time that can be; whether it is kept by the network is not known here")
    asked = subprocess.run(
        ["timedatectl", "show", "--property=NTPSynchronized", "--value"], capture_output=True, text=True, check=False
    )
    if asked.stdout.strip() == "no":
        return Found(False, "it is not kept by the network; `timedatectl set-ntp true` has it kept")
    return Found(True, "it shows a time that can be")


def _disk(settings: Settings) -> Found:
    folder = settings.book.absolute().parent
    while not folder.exists():
        folder = folder.parent
    free = shutil.disk_usage(folder).free
    return Found(free >= _LEAST_BYTES, f"{free >> 20} MiB free where the book lies ({folder})")


def _book(settings: Settings) -> Found:
    with open_book(settings.book, wait_s=5.0) as book:
        batches = len(book.batches.all())
    tended = "a service tends it now" if _is_tended(settings.book) else "no service tends it now"
    return Found(True, f"{settings.book}: opens, {counted(batches, 'batch', 'batches')}, {tended}")


def _broker(settings: Settings, alert: bool) -> Found:
    broker = settings.broker
    if broker is None:
        return Found(True, "none is named in the settings")
    where = f"{broker.host}:{broker.port}"
    trying = msgspec.structs.replace(
        broker, client_id=f"{broker.client_id}-check-{os.getpid()}", status_topic="lullwort/check"
    )
    link = BrokerLink(trying, broker_password(broker, os.environ), lambda _: None, _now_us, keep_session=False)
    link.start()
    try:
        if not link.wait_connected(_CONNECT_S):
            return Found(False, f"{where}: {link.refused or 'does not answer'}")
        if alert and settings.alerts.broker:
            topic = TopicTemplate(broker.alert_topic).of(vessel="-")
            senders = Senders(
                settings.alerts,
                "lullwort",
                lambda _, payload: link.publish(topic, payload, retain=False, timeout_s=5.0),
            )
            why = senders.send("broker", trial(_now_us()))
            return Found(not why, f"{where}: {why or f'takes us in, and took the test alert on {topic}'}")
        return Found(True, f"{where}: takes us in")
    finally:
        link.stop(1.0)


def _folder(settings: Settings) -> Found:
    if settings.folder is None:
        return Found(True, "none is named in the settings")
    path = settings.folder.path
    if not path.is_dir():
        return Found(False, f"{path}: is no folder")
    well = os.access(path, os.R_OK | os.W_OK | os.X_OK)
    return Found(well, f"{path}: {'can be read and written' if well else 'may not be read and written'}")


def _http(settings: Settings) -> Found:
    http = settings.http
    if http is None:
        return Found(True, "none is named in the settings")
    where = f"{http.host}:{http.port}"
    legible = "; WITHOUT TLS whoever is on the network can read the token and all pages" if http.legible else ""
    if http.token_file is not None and not _text_of(http.token_file):
        return Found(False, f"{http.token_file}: no token can be read from it")
    if http.certificate_file is not None:
        try:
            ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(http.certificate_file, http.key_file)
        except OSError as exc:
            return Found(False, f"{http.certificate_file}: cannot be used with {http.key_file}: {exc.strerror or exc}")
    try:
        socket.create_server((http.host, http.port), family=_family(http.host)).close()
    except OSError as exc:
        if exc.errno == errno.EADDRINUSE and _is_tended(settings.book):
            return Found(True, f"{where}: is listened on, by the service that runs{legible}")
        return Found(False, f"{where}: cannot be listened on: {exc.strerror or exc}")
    return Found(True, f"{where}: can be listened on{legible}")


def _family(host: str) -> socket.AddressFamily:
    return socket.AF_INET6 if ":" in host else socket.AF_INET


def _is_tended(book: Path) -> bool:
    try:
        with sole_use(book):
            return False
    except BookBusyError:
        return True


def _target(settings: Settings, target: str, alert: bool) -> Found:
    if target not in settings.alert_targets:
        return Found(True, "none is named in the settings")
    if alert:
        why = Senders(settings.alerts, "lullwort", None).send(target, trial(_now_us()))
        return Found(not why, why or "took the test alert")
    if target == "push":
        return _readable(settings.alerts.push_file)
    return _reachable(settings.alerts.webhook or "")


def _readable(path: Path | None) -> Found:
    text = None if path is None else _text_of(path)
    if text is None:
        return Found(False, f"{path}: cannot be read")
    addresses = sum(1 for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#"))
    return Found(addresses > 0, f"{path}: {counted(addresses, 'address', 'addresses')}; --alert tries them")


def _text_of(path: Path) -> str | None:
    try:
        return path.read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError):
        return None


def _reachable(address: str) -> Found:
    parts = urlsplit(address)
    port = parts.port or (443 if parts.scheme == "https" else 80)
    try:
        socket.create_connection((parts.hostname or "", port), 5.0).close()
    except OSError as exc:
        return Found(False, f"{parts.hostname}:{port}: cannot be reached: {exc.strerror or exc}")
    return Found(True, f"{parts.hostname}:{port}: can be reached; --alert tries it")
