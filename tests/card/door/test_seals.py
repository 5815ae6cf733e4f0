"""What a browser keeps for the service holds as long as it should, and cannot be made by anybody else."""

from __future__ import annotations

import pytest

from lullwort.card.door.seals import PASS_HOLDS_S, Seals, same_form

NOW_S = 1_772_442_000


def test_a_pass_holds_over_a_restart_and_no_longer_once_the_token_is_changed() -> None:
    given = Seals("s3cret").new_pass(NOW_S)
    holder = Seals("s3cret").holder(given, NOW_S + 5)
    assert holder is not None
    assert holder[1] == 5
    assert Seals("another").holder(given, NOW_S + 5) is None
    assert Seals(None).holder(given, NOW_S + 5) is None


def test_it_holds_for_ninety_days_and_is_not_voided_by_a_clock_that_is_set_back() -> None:
    seals = Seals("s3cret")
    given = seals.new_pass(NOW_S)
    assert seals.holder(given, NOW_S + 90 * 86_400) is not None
    assert seals.holder(given, NOW_S + 90 * 86_400 + 1) is None
    assert seals.holder(given, 0) == (given.partition(".")[0], 0)
    renewed = seals.renewed(given.partition(".")[0], NOW_S + PASS_HOLDS_S)
    assert seals.holder(renewed, NOW_S + PASS_HOLDS_S + 1) == (given.partition(".")[0], 1)


def test_nothing_of_the_token_is_in_it() -> None:
    seals = Seals("s3cret")
    assert "s3cret" not in seals.new_pass(NOW_S) + seals.form_token("a")


@pytest.mark.parametrize(
    "given",
    ["", ".", "..", "a", "a.1", "a.1.", "a.b.c", "\u00e9.1.x", "a" * 10_000, "a.9" + "9" * 5000 + ".x", "a.1.\x00"],
)
def test_what_was_not_sealed_here_does_not_hold(given: str) -> None:
    assert Seals("s3cret").holder(given, NOW_S) is None


def test_one_letter_changed_anywhere_voids_it() -> None:
    seals = Seals("s3cret")
    given = seals.new_pass(NOW_S)
    for at in range(len(given)):
        other = given[:at] + ("A" if given[at] != "A" else "B") + given[at + 1 :]
        assert seals.holder(other, NOW_S) is None


def test_a_pass_made_while_the_clock_was_ahead_holds_no_longer_than_others() -> None:
    seals, ten_years_s = Seals("s3cret"), 10 * 365 * 86_400
    ahead = seals.new_pass(NOW_S + ten_years_s)
    assert seals.holder(ahead, NOW_S) is None
    assert seals.holder(seals.new_pass(NOW_S + 86_400), NOW_S) is not None  # set back a little
    assert seals.holder(ahead, 0) is not None  # the clock has not been set at all


def test_form_tokens_are_each_browsers_own_and_no_passes() -> None:
    seals = Seals("s3cret")
    assert same_form(seals.form_token("a"), Seals("s3cret").form_token("a"))
    for other in (seals.form_token("b"), Seals("other").form_token("a")):
        assert not same_form(seals.form_token("a"), other)
    assert seals.holder(f"a.1.{seals.form_token('a')}", 1) is None
    assert seals.holder(f"a.1.{seals.form_token('a' + chr(10) + '1')}", 1) is None


def test_a_form_token_is_written_otherwise_each_time_so_that_no_length_tells_it() -> None:
    seals = Seals("s3cret")
    told = [seals.form_token("a") for _ in range(200)]
    assert len(set(told)) == 200
    assert all(len({one[at] for one in told}) > 20 for at in range(len(told[0]) - 1))


@pytest.mark.parametrize("given", ["", "a", "=", "A" * 86, "A" * 85, "A" * 88, "\u20ac" * 86, "a b", "A" * 10_000])
def test_what_is_no_form_token_is_that_of_nobody(given: str) -> None:
    assert not same_form(given, Seals("s3cret").form_token("a"))
    assert not same_form("", given)
