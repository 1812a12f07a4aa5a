"""How fields are measured: three sentences for each, and no field that is not in the profile."""

from __future__ import annotations

from gearplan.bike.measuring import measured_fields, measuring
from gearplan.bike.profile import entry


def test_every_text_belongs_to_a_field_and_has_three_sentences() -> None:
    assert len(measured_fields()) >= 18
    for field in measured_fields():
        section, key = field.split(".")
        assert entry(section, key).label
        found = measuring(section, key)
        assert found is not None
        assert all(text.endswith(".") and text[0].isupper() for text in found.sentences), field
        assert len(set(found.sentences)) == 3


def test_what_is_read_in_the_papers_has_none() -> None:
    assert measuring("engine", "idle_rpm") is None
    assert measuring("service", "axle_nm") is None
