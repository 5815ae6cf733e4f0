"""The service's own address: what the settings say of it."""

from __future__ import annotations

import ipaddress
import re
from pathlib import Path
from typing import Any

import msgspec

from lullwort.collector.entries.keycheck import NotThatError, as_table, checked_keys, text, whole_number
from lullwort.errors import SourceError, UsageError

__all__ = ["HttpSettings", "checked_http", "http_token"]


class HttpSettings(msgspec.Struct, frozen=True, kw_only=True):
    """Where the service listens.

    Attributes:
        host, port: beyond loopback only with a token.
        token_file: with the token that readings must carry, and a browser must know; without one loopback is trusted.
        form:       by which JSON is read that names none.
        certificate_file, key_file: for TLS.
        names:      by which browsers find it, beside its addresses and the machine's own name.
        upload_mib: [MiB] how long a file that a browser sends may be.
    """

    host: str = "127.0.0.1"
    port: int = 8137
    token_file: Path | None = None
    form: str = ""
    certificate_file: Path | None = None
    key_file: Path | None = None
    names: tuple[str, ...] = ()
    upload_mib: int = 64

    @property
    def beyond_loopback(self) -> bool:
        """Whether other machines can reach it."""
        return not _is_loopback(self.host)

    @property
    def legible(self) -> bool:
        """Whether others on the network can read along: it is reached from there, and without TLS."""
        return self.beyond_loopback and self.certificate_file is None


def checked_http(where: str, entered: object) -> HttpSettings:
    """What these keys describe, as `HttpSettings` has them, with `listen` for host and port. Raises UsageError."""
    fields = checked_keys(where, as_table(where, entered), _KEYS)
    host, port = fields.pop("listen", (HttpSettings().host, HttpSettings().port))
    settings = HttpSettings(host=host, port=port, **fields)
    if settings.beyond_loopback and settings.token_file is None:
        raise UsageError(f"{where}: token_file is missing; beyond this machine it listens only with a token")
    if (settings.certificate_file is None) != (settings.key_file is None):
        raise UsageError(f"{where}: certificate_file and key_file are given together or not at all")
    return settings


def http_token(settings: HttpSettings) -> str | None:
    """The token; None where none is asked for. Raises SourceError where it cannot be read."""
    path = settings.token_file
    if path is None:
        return None
    try:
        token = path.read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as exc:
        raise SourceError(f"{path}: the token cannot be read from it") from exc
    if not token:
        raise SourceError(f"{path}: holds no token")
    return token


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


_NAME = re.compile(r"[a-z0-9_]([a-z0-9_-]*[a-z0-9_])?(\.[a-z0-9_]([a-z0-9_-]*[a-z0-9_])?)*")
"""Labels parted by points, as names of hosts are written [RFC 1123 2.1]; networks at home know underlines, too."""


def _names(value: Any) -> tuple[str, ...]:
    names = [name.lower().removesuffix(".") for name in value if isinstance(name, str)] if _is_list(value) else []
    if not _is_list(value) or len(names) != len(value) or not all(map(_NAME.fullmatch, names)):
        raise NotThatError('a list of names without "https://" and port, such as ["cellar.lan"]')
    return tuple(names)


def _is_list(value: Any) -> bool:
    return isinstance(value, list)


_KEYS = {
    "listen": ("listen", _listen),
    "token_file": ("token_file", _path),
    "form": ("form", text),
    "certificate_file": ("certificate_file", _path),
    "key_file": ("key_file", _path),
    "names": ("names", _names),
    "upload_mib": ("upload_mib", whole_number(1, 1024, " MiB")),
}
