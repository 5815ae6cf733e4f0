"""Who asks: the browser, as the door has seen it."""

from __future__ import annotations

from typing import NamedTuple

from starlette.requests import HTTPConnection

__all__ = ["Visitor", "visitor_of"]


class Visitor(NamedTuple):
    """A browser.

    Attributes:
        name:       made up when it first came.
        form_token: goes with each form that it is shown, and comes back with what it posts.
        known:      whether it was here before, and has shown the token where one is asked for.
    """

    name: str
    form_token: str
    known: bool = False


def visitor_of(request: HTTPConnection) -> Visitor:
    """Who has asked for this, as the door has seen."""
    visitor: Visitor = request.state.visitor
    return visitor
