from __future__ import annotations

import pytest

from lullwort.collector.topics import TopicTemplate


def test_names_stand_for_whole_levels() -> None:
    template = TopicTemplate("cellar/{vessel}/{sensor}")
    assert template.filter == "cellar/+/+"
    assert template.match("cellar/north/f1") == {"vessel": "north", "sensor": "f1"}
    assert template.match("cellar/north") is None
    assert template.match("attic/north/f1") is None
    assert template.of(vessel="north", sensor="f1") == "cellar/north/f1"
    assert TopicTemplate("plain/topic").match("plain/topic") == {}


@pytest.mark.parametrize(
    "text", ["", "a/#", "a/+/b", "a/{sensor}x", "a/{other}", "{sensor}/{sensor}", "a/{", "x{sensor}", "a\0b"]
)
def test_what_is_no_template_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="a topic"):
        TopicTemplate(text)
