"""A family's own contradictions are named, all at once, before anybody relies on it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from partsdb.attributes import Attribute, asked, no_matter, taken
from partsdb.family import (
    Consistency,
    Family,
    Field,
    Hazard,
    Measurement,
    Needed,
    Row,
    Rule,
    Symptom,
    Writing,
    families,
)
from partsdb.kit import Place, checked, faults, question, same
from partsdb.kit.checking import FaultyFamily
from partsdb.model import Limit
from partsdb.source import PRACTICE
from support.extra_families import extra_families
from support.toy_family import FAMILY

EVERY = {**families(), **extra_families()}
SOUND = replace(FAMILY, hazards=())


def rules(*made: Callable[[Place], Rule | None]) -> Family:
    def require(place: Place) -> Iterator[Rule | None]:
        yield from (one(place) for one in made)

    return replace(SOUND, require=require)


def attribute(**changes: object) -> Family:
    first = replace(SOUND.attributes[0], **changes)  # type: ignore[arg-type]  # one field each
    return replace(SOUND, attributes=(first, *SOUND.attributes[1:]))


def field(**changes: object) -> Family:
    return replace(SOUND, fields=(replace(SOUND.fields[0], **changes),))  # type: ignore[arg-type]  # one field each


@pytest.mark.parametrize("name", EVERY)
def test_every_family_is_sound_and_its_rules_with_it(name: str) -> None:
    assert checked(EVERY[name]) is EVERY[name]


PLANTED: dict[str, tuple[Family, str]] = {
    "settled by no term it answers": (
        attribute(silence=asked("function", "it sinks", about="luck", settled_by="blarney")),
        "charge: 'blarney' settles it",
    ),
    "settled by what nobody would ask": (
        attribute(silence=asked("function", "it sinks", about="luck")),
        "charge: `settled_by` and `about` go together",
    ),
    "silence not declared": (attribute(silence=None), "charge: its silence isn't declared"),
    "taken as no code": (
        replace(
            SOUND,
            attributes=(
                *SOUND.attributes,
                Attribute("x", "x", None, codes={"a": "a"}, silence=taken("b", PRACTICE, "fit", "y")),
            ),
        ),
        "taken as 'b', which is none of its codes",
    ),
    "an attribute twice": (
        replace(SOUND, attributes=(*SOUND.attributes, SOUND.attributes[0])),
        "'charge' stands there 2",
    ),
    "a ladder of no codes": (
        replace(
            SOUND,
            attributes=(*SOUND.attributes, Attribute("x", "x", None, ladder=("z",), silence=no_matter("n"))),
        ),
        "'z' of its ladder is no code",
    ),
    "a field twice": (
        replace(SOUND, fields=(*SOUND.fields, *SOUND.fields)),
        "field: 'charge' stands there 2 times",
    ),
    "a field of no attribute": (field(attributes=("weight",)), "no attribute is called weight"),
    "a row of another length": (field(rows=(Row((1.0, 2.0)),)), "a row of 2 values for 1 attributes"),
    "a word for a number": (field(rows=(Row(("one",)),)), "'one' is not what charge takes"),
    "a code no table has": (
        replace(SOUND, fields=(Field("grade", ("grade",), (Row(("E",)),), (Writing("{grade}"),)),)),
        "'E' is no code of grade",
    ),
    "a template of another field": (
        field(writings=(Writing("{voltage:V}"),)),
        "names 'voltage', which the field doesn't",
    ),
    "a unit of a code word": (
        replace(SOUND, fields=(Field("grade", ("grade",), (Row(("A",)),), (Writing("{grade:V}"),)),)),
        "gives a unit to the code word",
    ),
    "a measurement of nothing": (
        replace(SOUND, measurements=(Measurement("weight", "scales", 0.0, 0.0, 1, ""),)),
        "measurement 'weight': neither an attribute nor a duty term",
    ),
    "a long caution": (
        replace(SOUND, hazards=(Hazard("h", "text", PRACTICE, short="x" * 57),)),
        "a short text of 1 to 56 characters",
    ),
    "no short caution": (
        replace(SOUND, hazards=(Hazard("h", "text", PRACTICE),)),
        "a short text of 1 to 56 characters",
    ),
    "a symptom no screen sends": (
        replace(SOUND, symptoms=(Symptom("wobbles", "a loose lid", ()),)),
        "symptom 'wobbles': no screen sends it",
    ),
    "a figure of nothing": (
        replace(SOUND, told={"goes_with": [{"text": "a {lid}"}]}),
        "the figure 'lid' is nothing",
    ),
    "a condition on nothing": (
        replace(SOUND, told={"hazard": [{"id": "h", "when": [["lid", "is", "on"]]}]}),
        "the condition on 'lid'",
    ),
    "a condition of no kind": (
        replace(SOUND, told={"hazard": [{"id": "h", "when": [["grade", "like", "A"]]}]}),
        "no condition is called 'like'",
    ),
    "a condition on no word": (
        replace(SOUND, told={"hazard": [{"id": "h", "when": [["grade", "is", "E"]]}]}),
        "'E' is none of its words",
    ),
    "a misspelt duty term": (
        replace(SOUND, ask=("suply_voltage",)),
        "ask: no duty term is called 'suply_voltage'",
    ),
    "a need it doesn't answer": (
        replace(SOUND, needs=(Needed("load_current", "safety", "x"),)),
        "needs it and doesn't say that it answers it",
    ),
    "a misspelt weight of a need": (
        replace(SOUND, needs=(Needed("supply_voltage", "saftey", "x"),)),
        "no weight is called 'saftey'",  # type: ignore[arg-type]  # the fault
    ),
    "agreement of nothing": (
        replace(SOUND, consistency=(Consistency(("weight",), lambda x: x, PRACTICE),)),
        "consistency: no attribute",
    ),
    "a limit on nothing": (
        rules(lambda p: Limit("weight", "one of", ("a",), "fit", "plate", PRACTICE, "x")),
        "'weight' is no attribute",
    ),
    "a limit that covers nothing": (
        rules(
            lambda p: Limit("mount", "one of", ("rail",), "fit", "plate", PRACTICE, "x", covers=("weight",))
        ),
        "'weight' is no attribute",
    ),
    "a limit of a misspelt weight": (
        rules(lambda p: same(p, "charge", "fucntion", "x")),
        "no weight is called 'fucntion'",  # type: ignore[arg-type]  # the fault
    ),
    "a limit of no code": (
        rules(lambda p: Limit("mount", "one of", ("glue",), "fit", "plate", PRACTICE, "x")),
        "'glue' is no code of mount",
    ),
    "a question settled by nothing": (
        rules(lambda p: question("depth", "fit", "x", settled_by="depth")),
        "'depth' is no attribute and no duty term",
    ),
}


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_found_and_named(fault: str) -> None:
    family, says = PLANTED[fault]
    assert faults(SOUND) == ()
    found = faults(family)
    assert any(says in text for text in found), found


def test_all_faults_are_named_at_once() -> None:
    family = replace(attribute(silence=None), ask=("suply_voltage",), symptoms=(Symptom("wobbles", "", ()),))
    with pytest.raises(FaultyFamily) as told:
        checked(family)
    assert "3 faults" in str(told.value)
    assert all(word in str(told.value) for word in ("silence", "suply_voltage", "wobbles"))
