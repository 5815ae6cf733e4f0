from __future__ import annotations

import pytest

from lullwort.collector import BrokerSettings, checked_broker
from lullwort.errors import UsageError


def test_what_is_not_stated_has_a_default() -> None:
    assert checked_broker("broker", {}) == BrokerSettings()
    assert BrokerSettings().topics[0].topic == "lullwort/readings/{sensor}"


@pytest.mark.parametrize(
    ("entered", "says"),
    [
        ({"port": 0}, "port is 0, expected a whole number from 1 to 65535"),
        ({"protocol": "3"}, "protocol is '3', expected one of 3.1.1, 5"),
        ({"tls": "yes"}, "tls is 'yes', expected true or false"),
        ({"host": ""}, "host is '', expected a text that is not empty"),
        ({"host": "a..b"}, "host is 'a..b', expected the name or the address of a machine"),
        ({"pasword_file": "x"}, "unknown key 'pasword_file'; did you mean 'password_file'"),
        ({"topics": []}, "expected a list such as"),
        ({"topics": [{"topic": "a/#"}]}, "expected a topic without wildcards"),
        ({"topics": [{"topic": "a", "from": "b"}]}, "expected entries with the keys topic and form"),
        ({"status_topic": "a/{vessel}"}, "expected a topic without braces"),
        ({"alert_topic": "a/{sensor}"}, "expected a topic in which only {vessel} stands in braces"),
    ],
)
def test_an_error_names_the_key_what_was_seen_and_what_was_expected(entered: dict[str, object], says: str) -> None:
    with pytest.raises(UsageError) as error:
        checked_broker("settings.toml: broker", entered)
    assert says in str(error.value)
