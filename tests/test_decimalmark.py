"""Marks by locale, each as [CLDR] has it if nothing else is said, which the table was made from."""

from __future__ import annotations

import pytest

from lullwort.decimalmark import mark_of_locale, with_mark


@pytest.mark.parametrize(
    ("name", "mark"),
    [
        ("de_DE.UTF-8", "comma"),
        ("de_AT@euro", "comma"),
        ("de_CH.UTF-8", "point"),  # its German neighbours write a comma
        ("fr_CH.UTF-8", "comma"),
        ("pt_BR", "comma"),
        ("es_AR.UTF-8", "comma"),
        ("es_MX.UTF-8", "point"),
        ("en_US.UTF-8", "point"),
        ("en_GB", "point"),
        ("en_ZA.UTF-8", "comma"),
        ("en_DK.UTF-8", "comma"),
        ("nb_NO.UTF-8", "comma"),
        ("da", "comma"),
        ("nl-BE", "comma"),
        ("sr_RS@latin", "comma"),
        ("ja_JP.UTF-8", "point"),
        ("oc_FR.UTF-8", "comma"),  # [Glibc], as are the next three; [CLDR] tells nothing of them
        ("nds_DE", "comma"),
        ("wa_BE@euro", "comma"),
        ("fur_IT.UTF-8", "comma"),
        ("C", "point"),
        ("C.UTF-8", "point"),
        ("POSIX", "point"),
        ("", "point"),
        ("xx_YY", "point"),
    ],
)
def test_the_mark_is_that_of_the_locale_whether_or_not_it_is_installed(name: str, mark: str) -> None:
    assert mark_of_locale({"LANG": name}) == mark


def test_the_stronger_variable_counts_and_an_empty_one_does_not() -> None:
    # [POSIX] 8.2: LC_ALL before LC_NUMERIC before LANG; one that is empty counts as not set.
    assert mark_of_locale({"LANG": "de_DE", "LC_NUMERIC": "C"}) == "point"
    assert mark_of_locale({"LANG": "C", "LC_NUMERIC": "de_DE", "LC_ALL": ""}) == "comma"
    assert mark_of_locale({"LANG": "de_DE", "LC_NUMERIC": "de_DE", "LC_ALL": "POSIX"}) == "point"
    assert mark_of_locale({}) == "point"


def test_only_the_mark_changes() -> None:
    assert with_mark("-1.052", "comma") == "-1,052"
    assert with_mark("-1.052", "point") == "-1.052"
