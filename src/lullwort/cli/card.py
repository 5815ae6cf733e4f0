"""`lullwort card`: where the bench card is, and how a browser gets in."""

from __future__ import annotations

import ipaddress
import os
import socket
from urllib.parse import quote

import click

from lullwort.cli.lines import say
from lullwort.collector import HttpSettings, http_token
from lullwort.errors import UsageError
from lullwort.settings import load_settings, settings_path

__all__ = ["card"]

_ELSEWHERE = ("192.0.2.1", "2001:db8::1")
"""Addresses that are nobody's [RFC 5737, RFC 3849]: which way one would go to them tells our own. Nothing is sent."""


@click.command(short_help="Tell where the bench card is, with the link that lets a browser in.")
def card() -> None:
    """Tell where the bench card is, the page that `lullwort tend` serves, with the link that lets a browser in.

    Who has the link may read the card and enter things on it: give it to nobody else. Exit 2 where the settings have no
    table [http].
    """
    http = load_settings(os.environ).http
    if http is None:
        raise UsageError(f'{settings_path(os.environ)}: [http] is missing; below it a line listen = "127.0.0.1:8137"')
    token = http_token(http)
    way_in = "/" if token is None else f"/enter?token={quote(token, safe='')}"
    where = [f"{_scheme(http)}://{host}:{http.port}{way_in}" for host in _hosts(http)]
    say(f"The card, while `lullwort tend` runs: {where[0]}")
    for other in where[1:]:
        say(f"or: {other}")
    if token is not None:
        say("Open it once in each browser, which is then known for 90 days. A changed token shuts all of them out.")
    if http.legible:
        say(
            "WITHOUT TLS: whoever is on the network can read the token and the card; set certificate_file and key_file."
        )
    if not http.beyond_loopback:
        say("From this machine only. For a phone set listen, token_file, certificate_file and key_file in [http], as")
        say('section 7 of config/from-board-to-alert.md has them, with listen = "0.0.0.0:8443", and ask again.')


def _scheme(http: HttpSettings) -> str:
    return "http" if http.certificate_file is None else "https"


def _hosts(http: HttpSettings) -> list[str]:
    """By which it is reached from where it listens; the best to type first."""
    if not ipaddress.ip_address(http.host).is_unspecified:
        return [*http.names, _in_address(http.host)]
    short = socket.gethostname().lower().partition(".")[0]
    return [*http.names, f"{short}.local", *map(_in_address, _own_addresses(v6=":" in http.host))]


def _own_addresses(*, v6: bool) -> list[str]:
    """Of this machine on its network; none without one."""
    families = [(socket.AF_INET, _ELSEWHERE[0]), *([(socket.AF_INET6, _ELSEWHERE[1])] if v6 else [])]
    found = []
    for family, elsewhere in families:
        with socket.socket(family, socket.SOCK_DGRAM) as asking:
            try:
                asking.connect((elsewhere, 9))
            except OSError:
                continue
            found.append(str(asking.getsockname()[0]))
    return found


def _in_address(host: str) -> str:
    return f"[{host}]" if ":" in host else host
