"""What may be entered of a batch: the same fields when it is opened and when it is corrected."""

from __future__ import annotations

from lullwort.card.forms.inunits import InUnits
from lullwort.card.pages.fields import Field
from lullwort.packaging_day import CONTAINERS
from lullwort.records import CAUTIONS, CONTAINER_NAMES, SUGAR_NAMES, Batch

__all__ = ["done_fields", "entered_values", "first_fields", "later_fields", "moment_field", "planned_fields"]

EXPECTED, SENSOR, PLANNED = "What is expected of it", "The sensor, and how sure to be", "Packaging day"

_CONTAINERS = (
    ("", "not said"),
    *((name, f"{name.replace('-', ' ')}: {CONTAINERS[name].says}") for name in CONTAINER_NAMES),
)
_SUGARS = (("", "not said"), *((name, name.replace("-", " ")) for name in SUGAR_NAMES))
_REPORTED = (("uncorrected", "not corrected by the sensor"), ("corrected", "corrected by the sensor itself"))
_CAUTIONS = {"careful": "careful", "usual": "usual", "brisk": "brisk"}


def moment_field(name: str, label: str, option: str, shown: InUnits, *, empty: str = "now", says: str = "") -> Field:
    """A date and time in the zone of the page."""
    otherwise = " Left empty it means now." if empty == "now" else ""
    return Field(
        name, label, option, f"{says}{_zone_says(shown.zone)}{otherwise}", kind="moment", empty=empty,
        tells=("at that time", "at that very moment", "before the pitch", "lies before"),
    )  # fmt: skip


def _zone_says(zone: str) -> str:
    return "In UTC." if zone == "UTC" else f"In the time of {zone}."


def first_fields(shown: InUnits) -> tuple[Field, ...]:
    """Those that tell most."""
    return (
        Field(
            "original-gravity", f"Original gravity ({shown.gravity})", "--original-gravity",
            f"After the boil, cooled and stirred, before the yeast: such as {shown.such_gravity(52.0)}.",
            mode="decimal",
        ),
        Field(
            "volume", f"Volume in the vessel ({shown.volume})", "--volume", f"Such as {shown.such_amount(19.0)}.",
            mode="decimal",
        ),
    )  # fmt: skip


def later_fields(shown: InUnits) -> tuple[Field, ...]:
    """Those that a brewer needs less often."""
    gravity, degrees = shown.gravity, shown.temperature
    return (
        Field("recipe", "Recipe", "--recipe", "The same words for each repeat of it.", group=EXPECTED),
        Field(
            "final-gravity", f"Where it should end ({gravity})", "--expected-final-gravity",
            f"One gravity, or two: {shown.such_gravity(10.0)} to {shown.such_gravity(14.0)}.", group=EXPECTED,
            tells=("the end ",),
        ),
        Field(
            "attenuation", "Apparent attenuation (%)", "--expected-attenuation", "Such as 70 to 80.", group=EXPECTED,
        ),
        Field(
            "forced-test", f"End of a forced ferment test ({gravity})", "--forced-test-gravity",
            "Outranks what is expected.", mode="decimal", group=EXPECTED,
        ),
        Field(
            "yeast-min", f"The yeast sleeps below ({degrees})", "--yeast-min", f"Such as {shown.such_temp(16.0)}.",
            mode="decimal", group=EXPECTED,
        ),
        Field(
            "yeast-max", f"The yeast suffers above ({degrees})", "--yeast-max", f"Such as {shown.such_temp(24.0)}.",
            mode="decimal", group=EXPECTED,
        ),
        Field(
            "steady", f"Steady temperature of the vessel ({degrees})", "--steady-temperature",
            "Only where the log has no temperature: what the vessel is kept at.", mode="decimal", group=SENSOR,
        ),
        Field(
            "caution", "How sure it must be", "--caution",
            "Careful waits longer before it says that a beer has ended; brisk says it sooner, and is wrong more often.",
            choices=tuple((name, _CAUTIONS[name]) for name in CAUTIONS), group=SENSOR,
        ),
        Field(
            "hold-window", "Hours over which gravity must hold still", "--hold-window", "From 24 to 168; else 48.",
            mode="decimal", group=SENSOR,
        ),
        Field(
            "tolerance", "How much it may move meanwhile", "--tolerance",
            f"A difference with its unit, such as 1pt; else {shown.a_point}.", group=SENSOR,
        ),
        Field(
            "reported", "Temperature in the sensor's gravity", "--reported",
            "Whether the sensor has taken it into account itself; its maker's paper says so.", choices=_REPORTED,
            group=SENSOR,
        ),
        Field(
            "interval", "Hours from one reading to the next", "--reading-interval", "Else 1.", mode="decimal",
            group=SENSOR,
        ),
    )  # fmt: skip


def planned_fields(shown: InUnits, group: str = PLANNED) -> tuple[Field, ...]:
    """What is meant to be done on packaging day."""
    return (
        Field(
            "target", f"Carbonation to aim at ({shown.co2})", "--target", f"Such as {shown.such_co2}.", mode="decimal",
            group=group, unset="none",
        ),
        container_field(group),
        Field(
            "limit", f"What this very container bears ({shown.pressure})", "--container-limit",
            "As its maker states; above it bottles can burst.", mode="decimal", group=group, unset="none",
        ),
        sugar_field(group),
        Field(
            "losses", f"What stays behind ({shown.volume})", "--losses", "With the sediment; else a tenth.",
            mode="decimal", group=group, unset="none",
        ),
        Field(
            "bottles", "Bottles there are", "--bottles", "Such as 24x330mL, 10x500mL; a size alone: as many as needed.",
            group=group, unset="none",
        ),
    )  # fmt: skip


def container_field(group: str) -> Field:
    """What it is closed in."""
    return Field("container", "Closed in", "--container", choices=_CONTAINERS, group=group, unset="none")


def sugar_field(group: str) -> Field:
    """What it is primed with."""
    return Field("sugar", "Primed with", "--priming-sugar", choices=_SUGARS, group=group, unset="none")


def done_fields(shown: InUnits, group: str = "") -> tuple[Field, ...]:
    """What was measured and done on packaging day."""
    return (
        Field(
            "moved", f"Beer that was moved ({shown.volume})", "--moved", "Off the sediment, as measured.",
            mode="decimal", group=group, unset="none", tells=("is more than the vessel held",),
        ),
        Field(
            "primed", f"Priming that was put in ({shown.weight})", "--primed", "Weighed, not measured by the spoon.",
            mode="decimal", group=group, unset="none",
        ),
        Field(
            "filled", "Bottles that were filled", "--filled", "Such as 24x330mL, 10x500mL.", group=group, unset="none",
            tells=("is more than there was to fill",),
        ),
    )  # fmt: skip


def entered_values(batch: Batch, shown: InUnits) -> dict[str, str]:
    """What is on record of a batch, as it is typed; empty where nothing is."""
    units, day = shown.units, batch.packaging_day

    def level(sg: float | None) -> str:
        return "" if sg is None else units.level((sg - 1.0) * 1000.0)

    def temp(temp_c: float | None) -> str:
        return "" if temp_c is None else units.temp(temp_c)

    def amount(volume_l: float | None) -> str:
        return "" if volume_l is None else units.amount(volume_l, 2)

    shares = batch.expected_attenuation
    return {
        "original-gravity": level(batch.original_gravity),
        "volume": amount(batch.volume_l),
        "recipe": batch.recipe or "",
        "final-gravity": shown.gravities(batch.expected_final_gravity),
        "attenuation": "" if shares is None else " to ".join(units.short(100.0 * share, 4) for share in shares),
        "forced-test": level(batch.forced_test_gravity),
        "yeast-min": temp(batch.yeast_min_c),
        "yeast-max": temp(batch.yeast_max_c),
        "steady": temp(batch.steady_temperature_c),
        "caution": batch.caution,
        "hold-window": str(batch.hold_window_h),
        "tolerance": units.difference(1000.0 * batch.tolerance),
        "reported": batch.gravity_reported,
        "interval": units.short(batch.reading_interval_h),
        "target": "" if day.target_g_l is None else units.co2(day.target_g_l),
        "container": day.container or "",
        "limit": "" if day.limit_bar is None else units.gauge(day.limit_bar),
        "sugar": day.sugar or "",
        "losses": amount(day.losses_l),
        "bottles": shown.lots(day.bottles),
        "moved": amount(day.moved_l),
        "primed": "" if day.primed_g is None else units.weight(day.primed_g),
        "filled": shown.lots(day.filled),
    }  # fmt: skip
