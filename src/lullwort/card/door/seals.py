"""Words that only this service can have written: what a browser keeps for it, and what its forms carry.

Pure: the moment is passed in. Of the token a key is made, so that what was sealed holds over a restart, and no longer
once the token is another one; the token itself is in none of it.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets

__all__ = ["PASS_HOLDS_S", "Seals", "same_form"]

PASS_HOLDS_S = 90 * 86_400
"""[s] A quarter of a year: a phone that hangs in the cellar is not asked each month."""

_ROUNDS = 100_000
"""Each guess at a short token, by whoever has got hold of a pass, takes that many hashes [RFC 8018 5.2]."""
_PROCESS_KEY = secrets.token_bytes(32)
_LONGEST = 200
_DIGEST_BYTES = hashlib.sha256().digest_size
_AHEAD_S = 86_400
"""[s] by which a clock may have been set back and passes still hold."""
_LONG_AGO_S = 1_767_225_600
"""[s] 2026-01-01: a clock that shows less was not set yet."""


class Seals:
    """Passes and form tokens under one key."""

    def __init__(self, token: str | None) -> None:
        """Args: token: None where none is asked for: what is sealed then holds until this process ends."""
        self._key = _PROCESS_KEY if token is None else _key_of(token)

    def new_pass(self, now_s: int) -> str:
        """For a browser that was not here before."""
        return self.renewed(secrets.token_urlsafe(16), now_s)

    def renewed(self, name: str, now_s: int) -> str:
        """For a browser whose pass grows old."""
        return f"{name}.{now_s}.{self._seal('pass', name, str(now_s))}"

    def holder(self, given: str, now_s: int) -> tuple[str, int] | None:
        """Name of the browser that this pass was given to, and its age [s]; None where it does not hold (any more)."""
        name, _, rest = given.partition(".")
        made, _, seal = rest.partition(".")
        if len(given) > _LONGEST or not given.isascii() or not _same(seal, self._seal("pass", name, made)):
            return None
        age_s = now_s - int(made)
        # Made while the clock was ahead, it would hold until that time has come. But a board without a battery starts
        # in the past, and nothing is to be voided until its clock is set.
        if age_s > PASS_HOLDS_S or (age_s < -_AHEAD_S and now_s > _LONG_AGO_S):
            return None
        return name, max(age_s, 0)

    def form_token(self, name: str) -> str:
        """That goes with each form shown to the browser of this name; written otherwise each time, see `same_form`."""
        value = self._digest("form", name)
        mask = secrets.token_bytes(len(value))
        return _written(mask + _crossed(mask, value))

    def _seal(self, *words: str) -> str:
        return _written(self._digest(*words))

    def _digest(self, *words: str) -> bytes:
        return hmac.new(self._key, "\n".join(words).encode(), hashlib.sha256).digest()


def same_form(one: str, other: str) -> bool:
    """Whether these are form tokens of one browser.

    Each is a random mask and the value under it. Were it written the same in each answer, somebody who can have a
    browser ask again and again, and sees how long the compressed answers are, could find it out letter by letter.
    """
    values = _unmasked(one), _unmasked(other)
    return all(values) and hmac.compare_digest(*values)


def _unmasked(form_token: str) -> bytes:
    """Empty where it is none."""
    try:
        read = base64.b64decode(form_token.encode("ascii") + b"==", b"-_", validate=True)
    except ValueError:
        return b""
    half = len(read) // 2
    return _crossed(read[:half], read[half:]) if half == _DIGEST_BYTES and len(read) == 2 * half else b""


def _crossed(one: bytes, other: bytes) -> bytes:
    return bytes(a ^ b for a, b in zip(one, other, strict=True))


def _written(value: bytes) -> str:
    return base64.urlsafe_b64encode(value).decode().rstrip("=")


def _key_of(token: str) -> bytes:
    return hashlib.pbkdf2_hmac("sha256", token.encode(), b"lullwort card", _ROUNDS)


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode(), other.encode())
