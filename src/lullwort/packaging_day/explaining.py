"""How the figures of strength come about, for whoever asks."""

from __future__ import annotations

from lullwort.explained import COMMON_PRACTICE, OURS, Explained

__all__ = ["ADDED_EXPLAINED", "BLEND_EXPLAINED", "FIGURES_EXPLAINED", "RULES_EXPLAINED"]

_BALLING = "Balling1865 (Balling, Die Gährungschemie, 1865)"
_SUGAR = "Bubnik1995 (density of sucrose solutions, ICUMSA SPS-4)"
_TABARIE = "Tabarie (Tabarié's rule of residue and distillate)"
_OIML = "OimlR22 (OIML R 22, alcoholometric tables)"
_LABEL = "EU1169 (Regulation (EU) No 1169/2011, Annex XIV), from memory"

FIGURES_EXPLAINED = {
    "original_extract": Explained(
        "original extract", "g of sugar in 100 g of a solution as dense as the wort at 20 °C (°P)", _SUGAR
    ),
    "apparent_extract": Explained(
        "apparent extract", "g of sugar in 100 g of a solution as dense as the beer at 20 °C (°P)", _SUGAR
    ),
    "abw": Explained(
        "alcohol by weight",
        "A = (OE - RE) / (2.0665 - 0.010665 OE): 2.0665 g of extract make 1 g of alcohol, 0.9565 g of carbon dioxide "
        "and 0.11 g of yeast",
        _BALLING,
    ),
    "real_extract": Explained(
        "real extract",
        "RE that makes density right: the beer is denser than water by as much as its sugar and its alcohol are, each "
        "made up with water to the volume of the beer",
        f"{_TABARIE}; {_SUGAR}; {_OIML}",
    ),
    "abv": Explained("alcohol by volume", "ABV = A x density of the beer at 20 °C / 789.24 kg/m³", _OIML),
    "apparent_attenuation": Explained("apparent attenuation", "(OE - AE) / OE, both in °P", "Beer6 (ASBC, Beer-6)"),
    "real_attenuation": Explained(
        "real attenuation",
        "extract gone / extract there was, counted by mass: 1 - RE / ((1 + 0.010665 A) OE), A in per cent",
        f"{_BALLING}; agrees with Beer6",
    ),
    "energy": Explained(
        "energy",
        "alcohol x 29 kJ/g (7 kcal/g) + real extract, counted as carbohydrate, x 17 kJ/g (4 kcal/g)",
        _LABEL,
    ),
    "ranges": Explained(
        "each range",
        "holds 9 in 10: each input goes to either end of its own 90 % by itself, and what that moves adds up in "
        "squares; what one instrument reads wrong moves both gravities together",
        OURS,
    ),
}
"""By the names of `figures_of`, and those of energy in any volume and of all ranges."""

ADDED_EXPLAINED = (
    Explained(
        "points of what was put in",
        "gravity of both together less that of the wort alone: masses of extract and water add up, and density at "
        "20 °C follows from them",
        f"{_BALLING}; {_SUGAR}",
    ),
    Explained(
        "the rule of thumb", "384 points x kg of dissolved sugar / litres (46 a pound and US gallon)", COMMON_PRACTICE
    ),
    Explained(
        "share of sugar in what was put in",
        "dextrose by its molar masses; malt extracts, honey and fruit as usual",
        COMMON_PRACTICE,
    ),
)

BLEND_EXPLAINED = (
    Explained(
        "the blend",
        "masses of beer, extract and alcohol add up, and so do those of the worts they came from; density and volume "
        "at 20 °C follow, the contraction of mixing counted",
        f"{_BALLING}; {_TABARIE}; {_SUGAR}; {_OIML}",
    ),
    Explained(
        "what may still ferment in the blend",
        "down to the apparent attenuation of the drier beer, for its yeast may take what the other left",
        OURS,
    ),
)

RULES_EXPLAINED = (
    Explained("131.25 rule", "(OG - FG) x 131.25", COMMON_PRACTICE),
    Explained("duty table", "fall in degrees x the factor of its line", "Notice226 (HMRC Excise Notice 226, 30.3)"),
)
"""Short formulas that are shown beside the answer."""
