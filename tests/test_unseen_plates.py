"""The plates that nobody has tuned to: whole, different, told in the families' own words, and in two halves."""

from __future__ import annotations

from collections import Counter

import pytest

from partsdb.family import families
from partsdb.reading import read
from support.plates import expected_value
from support.unseen import unseen

KINDS = (*families(), "unknown")


@pytest.mark.parametrize("name", families())
def test_what_a_plate_is_expected_to_say_is_of_its_kind(name: str) -> None:
    family = families()[name]
    for one in unseen(name):
        assert one.plate.expect, one.plate.text
        for key, text in one.plate.expect.items():
            attribute = family.attribute(key)
            value = expected_value(family, key, text)
            assert value.code is not None or value.low is not None
            assert not attribute.codes or value.code in attribute.codes, (one.plate.text, key, text)


@pytest.mark.parametrize("name", KINDS)
def test_there_are_enough_in_both_halves(name: str) -> None:
    halves = Counter(one.half for one in unseen(name))
    assert sum(halves.values()) >= (150 if name == "unknown" else 60)
    assert min(halves["working"], halves["scored"]) >= 20


def test_no_plate_is_there_twice_and_all_can_be_typed() -> None:
    texts = [one.plate.text for name in KINDS for one in unseen(name)]
    assert [text for text, count in Counter(texts).items() if count > 1] == []
    assert all(read(text).fragments for text in texts)


def test_a_plate_of_an_unknown_kind_says_the_noun_that_names_it() -> None:
    for one in unseen("unknown"):
        assert one.kind
        assert one.noun in "\n".join(one.plate.text)
