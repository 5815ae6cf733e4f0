"""Which mark stands before the decimals of a number, by where its reader is at home."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

__all__ = ["DecimalMark", "mark_of_locale", "with_mark"]

DecimalMark = Literal["point", "comma"]

# [CLDR], symbols of numbers in Latin digits: languages with a comma, and countries that write otherwise than most of
# their language. It stands here because a system need not have a locale installed to be asked for it.
_COMMA = (
    "ady af agq ast az ba bas be bg blo br bs bua ca cs cv da de dsb dua dyo el eo es et eu ewo ff fi fo fr fy gl hr "
    "hsb ht hu hy ia id ie is it jgo jv ka kab kbd kea kgp kk kkj kl ksf ku ky lb lij lld ln lo lt lu lv mgh mk mua "
    "nb nl nmg nn nnh no nr pl pms ps pt rm rn ro ru rw sah sc scn se seh sg shi sk sl smn sq sr ss su sv tg tk tok "
    "tr ts tt tzm uk uz ve vec vi wo yav yrl zgh"
)
# [Glibc], languages with a comma of which the other tells nothing.
_COMMA_TOO = "ab agr an ayc crh csb fur li mhr nds oc os pap quz sgs szl wa"
_OTHERWISE = {
    "ar": "DZ LB LY MA MR TN",
    "de": "CH LI",
    "en": "AT BE CZ DE DK EE ES FI FR GE HU ID IT LT LV NL NO PL PT RO SE SI SK UA ZA",
    "es": "419 BR BZ CU DO GT HN MX NI PA PE PR SV US",
    "fr": "RW",
    "it": "CH",
    "ms": "BN ID",
    "qu": "BO",
    "sw": "CD",
}
_SAYING = ("LC_ALL", "LC_NUMERIC", "LANG")
"""[POSIX] 8.2: the first of these variables that is set and not empty says how numbers are written."""


def mark_of_locale(environment: Mapping[str, str]) -> DecimalMark:
    """The mark of the locale that `environment` asks for; a point where it asks for none, and for C and POSIX.

    >>> mark_of_locale({"LANG": "de_AT.UTF-8"}), mark_of_locale({"LANG": "de_CH.UTF-8"})
    ('comma', 'point')
    >>> mark_of_locale({"LANG": "de_DE", "LC_ALL": "C.UTF-8"})
    'point'
    """
    name = next((environment[variable] for variable in _SAYING if environment.get(variable)), "")
    language, _, country = name.partition(".")[0].partition("@")[0].replace("-", "_").partition("_")
    otherwise = country.upper() in _OTHERWISE.get(language.lower(), "").split()
    comma = language.lower() in (*_COMMA.split(), *_COMMA_TOO.split())
    return "comma" if comma != otherwise else "point"


def with_mark(number: str, mark: DecimalMark) -> str:
    """A number written with a point, with `mark` instead.

    >>> with_mark("-1.052", "comma")
    '-1,052'
    """
    return number.replace(".", ",") if mark == "comma" else number
