"""A word that isn't known is answered with the one it was probably meant for."""

from __future__ import annotations

import pytest

from partsdb.duty import checked
from partsdb.errors import BadInput, NotFound
from partsdb.family import family_named
from partsdb.spelling import meant


@pytest.mark.parametrize(
    ("typed", "known"), [("contacter", "contactor"), ("Capasitor", "capacitor"), ("v belt", "v-belt")]
)
def test_a_slip_of_the_finger_is_recognised(typed, known):
    assert meant(typed, ["contactor", "capacitor", "v-belt"]) == f"Did you mean {known}? "


def test_something_else_altogether_is_not_guessed_at():
    assert meant("umbrella", ["contactor", "capacitor"]) == ""
    assert meant("", ["contactor"]) == ""


def test_kinds_attributes_and_duties_guess():
    with pytest.raises(NotFound, match="Did you mean contactor"):
        family_named("contacter")
    with pytest.raises(NotFound, match="Did you mean clearance"):
        family_named("bearing").attribute("clearence")
    with pytest.raises(BadInput, match="Did you mean supply_voltage"):
        checked({"suply_voltage": 415.0})
