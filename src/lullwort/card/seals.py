"""Words that only this service can have written: what a browser keeps for it, and what its forms carry.

Pure: the moment is passed in. Of the token a key is made, so that what was sealed holds over a restart, and no longer
once the token is another one; the token itself is in none of it.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets

__all__ = ["PASS_HOLDS_S", "Seals"]

PASS_HOLDS_S = 90 * 86_400
"""[s] A quarter of a year: a phone that hangs in the cellar is not asked each month."""

_ROUNDS = 100_000
"""Each guess at a short token, by whoever has got hold of a pass, takes that many hashes [RFC 8018 5.2]."""
_PROCESS_KEY = secrets.token_bytes(32)
_LONGEST = 200


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
        # A clock that was set back meanwhile voids nothing: a board without a battery starts in the past.
        return (name, max(age_s, 0)) if age_s <= PASS_HOLDS_S else None

    def form_token(self, name: str) -> str:
        """That goes with each form shown to the browser of this name."""
        return self._seal("form", name)

    def _seal(self, *words: str) -> str:
        made = hmac.new(self._key, "\n".join(words).encode(), hashlib.sha256).digest()
        return base64.urlsafe_b64encode(made).decode().rstrip("=")


def _key_of(token: str) -> bytes:
    return hashlib.pbkdf2_hmac("sha256", token.encode(), b"lullwort card", _ROUNDS)


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode(), other.encode())
