"""Finished pages, kept while what they rest on is as it was: twenty who look at one page cost one rendering."""

from __future__ import annotations

import gzip
import secrets
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import NamedTuple

from lullwort.card.pages.page import MAIN

__all__ = ["TOKEN_PLACE", "Finished", "Shelf", "finished"]

TOKEN_PLACE = f"form-token-{secrets.token_hex(12)}"
"""Stands in a page where the form token of whoever asks belongs; nobody can know it, so no note can hold it."""
_LEVEL = 6
_MAIN = MAIN.encode()


class Finished(NamedTuple):
    """A page as it is sent.

    Attributes:
        tag:    equal for pages that say the same, be they made at different times; see RFC 9110, section 8.8.3.
        packed: compressed.
        forms:  whether `TOKEN_PLACE` stands in it.
    """

    tag: str
    packed: bytes
    forms: bool

    def plain(self, form_token: str, told: str = "") -> bytes:
        """Its HTML, for one visitor; `told` is HTML that comes before all else."""
        text = gzip.decompress(self.packed)
        if self.forms:
            text = text.replace(TOKEN_PLACE.encode(), form_token.encode())
        return text.replace(_MAIN, _MAIN + told.encode(), 1) if told else text

    def packed_for(self, form_token: str, told: str = "") -> bytes:
        """The same, compressed."""
        if not (self.forms or told):
            return self.packed
        return gzip.compress(self.plain(form_token, told), _LEVEL, mtime=0)


def finished(tag: str, html: str) -> Finished:
    """A page to be kept."""
    return Finished(tag, gzip.compress(html.encode(), _LEVEL, mtime=0), TOKEN_PLACE in html)


class _Kept(NamedTuple):
    rests_on: Hashable
    page: Finished


@dataclass
class Shelf:
    """Holds so many bytes at most, keys included; what nobody asked for the longest goes first. Used by one thread.

    Whoever asks chooses the key, so it is to hold nothing but what chooses the page.
    """

    most_bytes: int = 2 << 20
    _kept: dict[Hashable, _Kept] = field(default_factory=dict)
    _bytes: int = 0

    def page(self, key: Hashable, rests_on: Hashable, made: Callable[[], Finished | None]) -> Finished | None:
        """The page of this key, made anew unless it rests on the same as before. None, if made so, is not kept."""
        kept = self._kept.pop(key, None)
        if kept is not None:
            self._bytes -= _size(key, kept.page)
        page = kept.page if kept is not None and kept.rests_on == rests_on else made()
        if page is None:
            return None
        self._kept[key] = _Kept(rests_on, page)
        self._bytes += _size(key, page)
        while self._bytes > self.most_bytes:
            oldest = next(iter(self._kept))
            self._bytes -= _size(oldest, self._kept.pop(oldest).page)
        return page


def _size(key: Hashable, page: Finished) -> int:
    return len(page.packed) + len(repr(key))
