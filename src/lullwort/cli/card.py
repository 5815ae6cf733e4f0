"""`lullwort card`: where the bench card is, and how a browser gets in."""

from __future__ import annotations

import os
from urllib.parse import quote

import click

from lullwort.card import card_addresses
from lullwort.cli.lines import say
from lullwort.collector import http_token
from lullwort.errors import UsageError
from lullwort.settings import load_settings, settings_path

__all__ = ["card"]


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
    where = [f"{address}{way_in}" for address in card_addresses(http)]
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
