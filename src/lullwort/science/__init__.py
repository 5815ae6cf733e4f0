"""Published formulas of water, sugar, alcohol and carbon dioxide: pure, floats or arrays, range-checked."""

from __future__ import annotations

from lullwort.science.alcohol import Strength, strength
from lullwort.science.alcohol_rules import (
    abv_balling,
    abv_cutaia,
    abv_duty,
    abv_hall,
    abv_times_105,
    abw_times_105,
    rdf_beer6,
    real_extract_quotient,
)
from lullwort.science.beer import (
    beer_density,
    driest_gravity,
    extract_and_alcohol,
    sensor_reading,
    sg_at_reference,
)
from lullwort.science.brew import Brew, brew, water_kg
from lullwort.science.carbonation import (
    YEAST_KEEPS,
    co2_g_l_from_points,
    co2_solubility_mol_l_atm,
    residual_volumes,
)
from lullwort.science.correction_table import CorrectionTable
from lullwort.science.energy import Energy, energy
from lullwort.science.ethanol import (
    ETHANOL_DENSITY_20C_KG_M3,
    abv_from_abw,
    abw_from_abv,
    ethanol_water_density,
)
from lullwort.science.extract import plato_from_sg, sg_from_plato, sucrose_density
from lullwort.science.gauge import dissolved_g_l, equilibrium_gauge_bar
from lullwort.science.gravity_units import from_sg, to_sg
from lullwort.science.hydrometer import (
    CALIBRATION_60F_C,
    GLASS_EXPANSION_PER_K,
    HYDROMETER_EXPLAINED,
    HYDROMETER_RULE_EXPLAINED,
    HYDROMETER_WATER_EXPLAINED,
    hydrometer_in_beer,
    hydrometer_in_water,
    hydrometer_rule_points,
    hydrometer_true_sg,
)
from lullwort.science.ingredients import INGREDIENTS, AddedPoints, Ingredient, added_points, points_by_rule
from lullwort.science.numerics import solve_increasing
from lullwort.science.priming import (
    PRIMING,
    PRIMING_EXPLAINED,
    PrimedWith,
    carbonation_g_l,
    priming_g,
    reserved_wort,
    syrup_g,
)
from lullwort.science.refractometer import (
    REFRACTOMETER_EXPLAINED,
    ethanol_refraction,
    refractometer_gravity,
    refractometer_gravity_sd,
    refractometer_shows,
    sucrose_refraction,
)
from lullwort.science.sealedbottle import BEER_TAKES_UP_LEAST, HEADSPACE_LEAST, HEADSPACE_SHARE, SealedBottle, sealed
from lullwort.science.solutions import SOLUTIONS_EXPLAINED, Solution, made_up_to, sugar_solution, sugar_steps
from lullwort.science.water import water_density, water_vapour_pressure_atm

__all__ = [
    "BEER_TAKES_UP_LEAST",
    "CALIBRATION_60F_C",
    "ETHANOL_DENSITY_20C_KG_M3",
    "GLASS_EXPANSION_PER_K",
    "HEADSPACE_LEAST",
    "HEADSPACE_SHARE",
    "HYDROMETER_EXPLAINED",
    "HYDROMETER_RULE_EXPLAINED",
    "HYDROMETER_WATER_EXPLAINED",
    "INGREDIENTS",
    "PRIMING",
    "PRIMING_EXPLAINED",
    "REFRACTOMETER_EXPLAINED",
    "SOLUTIONS_EXPLAINED",
    "YEAST_KEEPS",
    "AddedPoints",
    "Brew",
    "CorrectionTable",
    "Energy",
    "Ingredient",
    "PrimedWith",
    "SealedBottle",
    "Solution",
    "Strength",
    "abv_balling",
    "abv_cutaia",
    "abv_duty",
    "abv_from_abw",
    "abv_hall",
    "abv_times_105",
    "abw_from_abv",
    "abw_times_105",
    "added_points",
    "beer_density",
    "brew",
    "carbonation_g_l",
    "co2_g_l_from_points",
    "co2_solubility_mol_l_atm",
    "dissolved_g_l",
    "driest_gravity",
    "energy",
    "equilibrium_gauge_bar",
    "ethanol_refraction",
    "ethanol_water_density",
    "extract_and_alcohol",
    "from_sg",
    "hydrometer_in_beer",
    "hydrometer_in_water",
    "hydrometer_rule_points",
    "hydrometer_true_sg",
    "made_up_to",
    "plato_from_sg",
    "points_by_rule",
    "priming_g",
    "rdf_beer6",
    "real_extract_quotient",
    "refractometer_gravity",
    "refractometer_gravity_sd",
    "refractometer_shows",
    "reserved_wort",
    "residual_volumes",
    "sealed",
    "sensor_reading",
    "sg_at_reference",
    "sg_from_plato",
    "solve_increasing",
    "strength",
    "sucrose_density",
    "sucrose_refraction",
    "sugar_solution",
    "sugar_steps",
    "syrup_g",
    "to_sg",
    "water_density",
    "water_kg",
    "water_vapour_pressure_atm",
]
