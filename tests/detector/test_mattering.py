"""Why each check matters."""

from __future__ import annotations

from lullwort.detector import CHECKS, why_it_matters


def test_each_check_has_its_own_sentences() -> None:
    said = [why_it_matters(check) for check in CHECKS]
    assert len(set(said)) == len(CHECKS) == 7
    assert all(text[0].isupper() and text.endswith(".") and len(text) < 190 for text in said)


def test_what_is_said_is_about_its_check() -> None:
    about = {
        "flat": "stillness", "little left": "half a volume", "where it should be": "too high", "warm enough": "Cold",
        "undisturbed": "count anew", "seen": "nobody saw", "believable": "float",
    }  # fmt: skip
    assert list(about) == list(CHECKS)
    for check in CHECKS:
        assert about[check] in why_it_matters(check)
