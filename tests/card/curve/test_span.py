"""Spans of a curve: what an address asks for, and where the ways to other spans lead."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.card.curve.span import WHOLE, CurveSpan, chosen_span, links_of
from lullwort.errors import UsageError
from lullwort.records import HOUR_US, parse_instant

ALL = (0, 336 * HOUR_US)
NOW = 300 * HOUR_US


def test_an_address_asks_for_a_named_span_for_two_moments_or_for_the_whole() -> None:
    assert chosen_span({}) == chosen_span({"span": "whole"}) == WHOLE
    assert chosen_span({"span": "7d"}).ends_us(ALL, NOW) == (132 * HOUR_US, NOW)
    written = {"from": "2026-05-01T18:00:00Z", "to": str(parse_instant("2026-05-02T18:00:00Z") // 1_000_000)}
    span = chosen_span(written)
    assert (span.from_us, span.to_us) == (parse_instant("2026-05-01T18:00Z"), parse_instant("2026-05-02T18:00Z"))
    assert chosen_span(dict(pair.split("=") for pair in span.query[1:].split("&"))) == span


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ({"span": "month"}, "one of whole, 7d, 3d, 24h"),
        ({"from": "yesterday", "to": "5"}, "seconds since 1970 or like"),
        ({"from": "2026-05-01T18:00", "to": "5"}, "seconds since 1970 or like"),
        ({"from": "5"}, "seconds since 1970 or like"),
        ({"from": "9", "to": "5"}, "the other way"),
        ({"from": "9" * 5000, "to": "5"}, "seconds since 1970 or like"),
    ],
)
def test_what_is_no_span_is_answered_with_what_one_looks_like(query: dict[str, str], says: str) -> None:
    with pytest.raises(UsageError, match=says):
        chosen_span(query)


moments = st.integers(-(10**30), 10**30)


@given(moments, moments)
def test_whatever_is_asked_for_lies_within_the_whole_and_has_some_length(one: int, other: int) -> None:
    from_us, to_us = CurveSpan("", min(one, other), max(one, other)).ends_us(ALL, NOW)
    assert ALL[0] <= from_us < to_us <= ALL[1]
    assert to_us - from_us >= 2 * HOUR_US


@given(st.floats(0.0, 0.9), st.floats(0.05, 1.0))
def test_ways_lead_to_other_spans_within_the_whole(begin: float, share: float) -> None:
    from_us = round(begin * ALL[1])
    shown = CurveSpan("", from_us, from_us + round(share * ALL[1]))
    ends = shown.ends_us(ALL, NOW)
    links = {link.key: link.span for link in links_of(shown, ends, ALL, NOW)}
    assert list(links) == ["whole", "7d", "3d", "24h", "earlier", "later", "closer", "wider"]
    for key, span in links.items():
        if span is not None and span != WHOLE and not span.name:
            assert span.from_us is not None
            assert span.to_us is not None
            found = span.from_us, span.to_us
            assert ALL[0] <= found[0] < found[1] <= ALL[1]
            assert found != ends
            if key in ("earlier", "later"):
                assert found[1] - found[0] == ends[1] - ends[0]
                assert (found[0] < ends[0]) == (key == "earlier")
    closer, wider = links["closer"], links["wider"]
    if closer is not None and closer.from_us is not None and closer.to_us is not None:
        assert ends[0] <= closer.from_us
        assert closer.to_us <= ends[1]
    assert (wider is None) == (ends == ALL)


def test_a_young_batch_has_no_span_longer_than_itself() -> None:
    whole = (0, 30 * HOUR_US)
    links = {link.key: link.span for link in links_of(WHOLE, whole, whole, 30 * HOUR_US)}
    assert "7d" not in links
    assert links["24h"] == CurveSpan("24h")
    assert (links["earlier"], links["later"], links["wider"]) == (None, None, None)
