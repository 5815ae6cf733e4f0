from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from lullwort.cellarbook.agreement import agree

REPORTS = st.lists(
    st.tuples(st.integers(0, 4), st.integers(0, 1), st.sampled_from([1.01, 1.02, np.nan]), st.booleans()), min_size=1
)


@given(REPORTS)
def test_instants_and_reports_are_counted_as_by_hand(reports: list[tuple[int, int, float, bool]]) -> None:
    at_us, meaning, value, ours = (np.array(column) for column in zip(*reports, strict=True))
    agreement = agree(at_us, meaning, value.reshape(1, -1))
    said: dict[int, set[tuple[int, str]]] = {}
    by_us: dict[int, set[tuple[int, str]]] = {}
    for t, m, v, own in reports:
        said.setdefault(t, set()).add((m, repr(float(v))))
        if own:
            by_us.setdefault(t, set()).add((m, repr(float(v))))
    agreed = sorted(t for t, what in said.items() if len(what) == 1)
    assert at_us[agreement.settled()].tolist() == agreed
    assert np.flatnonzero(agreement.contradicted()).size == len(said) - len(agreed)
    assert np.count_nonzero(agreement.reports_with(ours)) == sum(map(len, by_us.values()))
    assert agreement.contradicted_with(ours) == sum(1 for t in by_us if len(said[t]) > 1)
    assert sorted(agreement.order.tolist()) == list(range(len(reports)))
