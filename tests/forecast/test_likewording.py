"""What a brewer is told of a batch beside the earlier ones of its recipe."""

from __future__ import annotations

from typing import Any

import pytest

from lullwort.detector import Units
from lullwort.forecast import Compared, Known, Likeness, TraitName, Traits, likeness, likeness_says


def seen(trait: TraitName, value: float, low: float, high: float, **more: Any) -> Likeness:
    """One trait that lies out of, or within, what three earlier ones let expect."""
    fields: dict[str, Any] = {"still_open": False, "batches": 3, **more}
    width = (high - low) / 4.0
    one = Compared(trait=trait, value=value, least=low + width, most=high - width, low=low, high=high, **fields)
    return Likeness((one,), runs=False, warmer_k=0.0)


@pytest.mark.parametrize(
    ("trait", "value", "low", "high", "more", "says"),
    [
        ("lag", 50.0, 8.0, 24.0, {}, "Slower to begin than the 3 before it: after 50 h, they took 12 to 20 h."),
        ("lag", 3.0, 8.0, 24.0, {}, "Quicker to begin than the 3 before it: after 3 h, they took 12 to 20 h."),
        ("lag", 50.0, 8.0, 24.0, {"still_open": True}, "Slower to begin than the 3 before it: not begun after 50 h"),
        ("three quarters", 62.0, 37.0, 53.0, {}, "Slower than the 3 before it: 75 % after 62 h, they took 41 to 49 h."),
        ("three quarters", 30.0, 37.0, 53.0, {}, "Quicker than the 3 before it: 75 % after 30 h, they took 41 to 49"),
        ("three quarters", 99.0, 37.0, 53.0, {"still_open": True}, "75 % not reached after 99 h, they took 41 to 49"),
        ("three quarters", 62.0, 37.0, 53.0, {"batches": 1}, "Slower than the one before it: 75 % after 62 h"),
        ("steepest fall", 12.0, 16.0, 24.0, {}, "Falls less steeply than the 3 before it: at most 12 points in a day"),
        ("steepest fall", 31.0, 16.0, 24.0, {}, "Falls more steeply than the 3 before it: at most 31 points in a day"),
        ("tail", 90.0, 16.0, 48.0, {}, "Longer in its tail than the 3 before it: 90 h from 75 % to within a point of"),
        ("tail", 9.0, 16.0, 48.0, {}, "Shorter in its tail than the 3 before it: 9 h from 75 % to within a point of"),
        ("end", 20.0, 10.0, 14.0, {}, "Ends higher than the 3 before it: at 1.0200, they at 1.0110 to 1.0130."),
        ("end", 6.0, 10.0, 14.0, {}, "Ends lower than the 3 before it: at 1.0060, they at 1.0110 to 1.0130."),
        ("ready", 300.0, 120.0, 200.0, {}, "Ready later than the 3 before it: after 300 h, they after 140 to 180 h."),
        ("ready", 90.0, 120.0, 200.0, {}, "Ready sooner than the 3 before it: after 90 h, they after 140 to 180 h."),
        ("ready", 300.0, 120.0, 200.0, {"still_open": True}, "not ready after 300 h, they were after 140 to 180 h."),
    ],
)  # fmt: skip
def test_each_trait_that_differs_is_told_with_what_the_others_showed(
    trait: TraitName, value: float, low: float, high: float, more: dict[str, Any], says: str
) -> None:
    told = likeness_says(seen(trait, value, low, high, **more))
    assert says in told[0]
    assert not any("before, in all" in sentence for sentence in told)


@pytest.mark.parametrize(("end", "caution"), [(20.0, "may ferment in the bottle"), (6.0, "Wild yeast")])
def test_another_end_carries_its_caution(end: float, caution: str) -> None:
    assert caution in likeness_says(seen("end", end, 10.0, 14.0))[0]


def test_it_is_told_in_the_units_of_the_brewer() -> None:
    plato = Units(gravity="plato", temperature="F")
    low, high = plato.level(11.0).removesuffix(" °P"), plato.level(13.0)
    assert f"at {plato.level(20.0)}, they at {low} to {high}." in likeness_says(seen("end", 20.0, 10.0, 14.0), plato)[0]
    steeper = likeness_says(seen("steepest fall", 31.0, 16.0, 24.0), plato)[0]
    assert f"at most {plato.difference(31.0)} in a day, they fell" in steeper
    assert steeper.count("°P") == 2
    cooler = seen("tail", 30.0, 10.0, 50.0)._replace(warmer_k=-3.0)
    assert likeness_says(cooler, plato)[0].startswith("It lies 5.4 °F cooler than they did")
    assert likeness_says(cooler._replace(warmer_k=1.25))[0].startswith("It lies 1.2 °C warmer than they did")


def test_as_before_says_in_what_and_one_earlier_batch_is_said_to_tell_little() -> None:
    of = Traits(lag_h=Known(14.0, 2.0), gone_h=Known(50.0, 2.0), end=Known(12.0, 1.5))
    assert likeness_says(likeness(of, [of, of])) == (
        "Behaves as before, in all that can be compared: lag, 75 % and end.",
    )
    begun = Traits(lag_h=Known(14.0, 2.0), not_ready_h=20.0)
    few = "One earlier batch tells little: only what differs much can be noticed."
    assert likeness_says(likeness(begun, [of])) == (
        "Behaves as before, in all that can be compared so far: lag.", few,
    )  # fmt: skip


def test_what_has_shown_nothing_cannot_be_compared_yet() -> None:
    of = Traits(lag_h=Known(14.0, 2.0))
    for asked, earlier in ((Traits(), of), (Traits(no_lag_end_h=2.0), of), (of, Traits())):
        assert likeness_says(likeness(asked, [earlier, earlier])) == (
            "Cannot be compared yet: it shows nothing so far that an earlier one shows, too.",
        )
