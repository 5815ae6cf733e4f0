from __future__ import annotations

import pytest

from lullwort.records import ZONE_NAME, zone_info


def test_a_zone_is_found_by_its_iana_name() -> None:
    assert zone_info("Europe/Berlin").key == "Europe/Berlin"


@pytest.mark.parametrize("name", ["Middle/Earth", "../etc", "Europe", "", "/etc/localtime"])
def test_what_is_no_zone_is_refused_in_one_wording_even_where_it_is_a_folder(name: str) -> None:
    with pytest.raises(ValueError, match=f"is not {ZONE_NAME}"):
        zone_info(name)
