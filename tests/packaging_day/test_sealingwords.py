"""A closed bottle temperature by temperature, in words."""

from __future__ import annotations

from lullwort.detector import Units
from lullwort.packaging_day import CONTAINERS, Sealing, closing_caution, held_at, limit_of, sealing_of, temp_rows


def closed(left: tuple[float, float]) -> Sealing:
    """Beer of 20 °C to which 3 g/L were added, in ordinary bottles."""
    made = sealing_of(held_at(20.0), left, (3.0, 3.0), limit_of("brown-glass"))
    assert made is not None
    return made


def test_rows_go_from_cold_to_warm_and_add_up_as_shown() -> None:
    rows = temp_rows(closed((0.2, 1.0)), Units())
    assert [row.kept_at for row in rows] == [f"{temp} °C" for temp in (5, 10, 15, 20, 25, 30, 35, 40)]
    for row in rows:
        at_most, limit, margin = (float(cell.split()[0]) for cell in (row.at_most, row.limit, row.margin))
        assert abs(limit - at_most - margin) < 1e-9
        assert (row.word == "may burst") == (margin < 0.0)
    assert rows[-1].word == "may burst"


def test_what_is_understated_is_not_given_a_figure() -> None:
    warmest = temp_rows(closed((10.0, 35.0)), Units(pressure="psi"))[-1]
    assert (warmest.at_most, warmest.margin, warmest.word) == ("over 218 psi", "-", "may burst")


def test_the_caution_goes_with_the_container() -> None:
    assert closing_caution(CONTAINERS["keg"]).startswith("A keg needs a relief valve")
    assert closing_caution(CONTAINERS["plastic"]).startswith("Bottles can burst")
