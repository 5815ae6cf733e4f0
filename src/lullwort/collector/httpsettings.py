"""The service's own address: what the settings say of it."""

from __future__ import annotations

import ipaddress
from pathlib import Path
from typing import Any

import msgspec

from lullwort.collector.entries.keycheck import NotThatError, as_table, checked_keys, text
from lullwort.errors import UsageError

__all__ = ["HttpSettings", "checked_http"]


class HttpSettings(msgspec.Struct, frozen=True, kw_only=True):
    """Where the service listens.

    Attributes:
        host, port: beyond loopback only with a token.
        token_file: with the bearer token that readings must carry; without one loopback is trusted.
        form:       by which JSON is read that names none.
        certificate_file, key_file: for TLS.
    """

    host: str = "127.0.0.1"
    port: int = 8137
    token_file: Path | None = None
    form: str = ""
    certificate_file: Path | None = None
    key_file: Path | None = None


def checked_http(where: str, entered: object) -> HttpSettings:
    """What these keys describe: listen, token_file, form, certificate_file and key_file. Raises UsageError."""
    fields = checked_keys(where, as_table(where, entered), _KEYS)
    host, port = fields.pop("listen", (HttpSettings().host, HttpSettings().port))
    settings = HttpSettings(host=host, port=port, **fields)
    if not _is_loopback(host) and settings.token_file is None:
        raise UsageError(f"{where}: token_file is missing; beyond this machine it listens only with a token")
    if (settings.certificate_file is None) != (settings.key_file is None):
        raise UsageError(f"{where}: certificate_file and key_file are given together or not at all")
    return settings


def _is_loopback(host: str) -> bool:
    return ipaddress.ip_address(host).is_loopback


def _listen(value: Any) -> tuple[str, int]:
    host, colon, port = text(value).rpartition(":")
    try:
        address = ipaddress.ip_address(host.strip("[]"))
        number = int(port)
    except ValueError:
        number = 0
    if not colon or not 0 < number < 65_536:
        raise NotThatError('an address and a port such as "127.0.0.1:8137" or "[::1]:8137"')
    return str(address), number


def _path(value: Any) -> Path:
    return Path(text(value)).expanduser()


_KEYS = {
    "listen": ("listen", _listen),
    "token_file": ("token_file", _path),
    "form": ("form", text),
    "certificate_file": ("certificate_file", _path),
    "key_file": ("key_file", _path),
}
