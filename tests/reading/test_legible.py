"""A reading that drops, adds or changes a legible glyph is found out; what isn't stated isn't read as if it were."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.family import Family, families
from partsdb.model import Hypothesis
from partsdb.reading import identify, read
from partsdb.reading.channel import plate_of
from partsdb.reading.legible import faith
from partsdb.reading.lexicon import core_texts
from partsdb.reading.templates import shape

EVERY = families()


def best(*fragments: str, kind: str = "") -> Hypothesis:
    found = identify(read(fragments), {kind: EVERY[kind]} if kind else EVERY)
    assert found.best is not None
    return found.best


@pytest.mark.parametrize(
    ("kind", "field", "says", "typed", "told"),
    [
        ("transformer", "primary", 230.0, "PRI 230 V", "exact"),
        ("transformer", "primary", 230.0, "PRI. 230 VOLTS", "exact"),
        ("transformer", "primary", 230.0, "PRI 2?0 V", "exact"),
        ("transformer", "primary", 230.0, "PRI 2[38]0 V", "exact"),
        ("transformer", "primary", 230.0, "PRI 2... V", "exact"),
        ("transformer", "primary", 230.0, "PRI 2300 V", "changed"),
        ("transformer", "primary", 230.0, "PRI 23 V", "changed"),
        ("transformer", "primary", 230.0, "PRI 280 V", "changed"),
        ("transformer", "apparent_power", 150.0, "KVA .150", "exact"),
        ("transformer", "apparent_power", 150e3, "KVA .150", "changed"),
        ("transformer", "apparent_power", 150e3, "K.V.A. 150", "exact"),
        ("ac_capacitor", "voltage_ac", 440.0, "440", "unstated"),
        ("ac_capacitor", "temperature_max", 358.15, "25/85/21", "exact"),
        ("ac_motor", "power", 3728.4993579113507, "B.H.P. 5", "exact"),
        ("ac_motor", "power", 3728.4993579113507, "H. P. 5", "exact"),
        (
            "ac_motor",
            "insulation",
            "B",
            "INS CLASS B",
            "unstated",
        ),  # no label that it knows, but the letter alone
        ("ac_motor", "insulation", "H", "CLASS 2", "changed"),
        ("contactor", "current AC-3@400V", 25.0, "25 A AC-3 400 V", "exact"),
        ("contactor", "current AC-3@400V", 25.0, "25 A AC-3", "changed"),  # at volts that don't stand there
        ("contactor", "current AC-3@400V", 25.0, "AC-6b 25 A 400 V", "changed"),
    ],
)
def test_what_a_reading_does_to_the_glyphs(
    kind: str, field: str, says: object, typed: str, told: str
) -> None:
    family = EVERY[kind]
    known = next(f for f in family.fields if f.name == field)
    row = next(r for r in known.rows if r.values[0] == pytest.approx(says))
    plate = plate_of(read([typed]))
    assert faith(family, known, row, plate, 0, len(plate)) == told


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(sorted(EVERY)), st.integers(0, 2**32 - 1))
def test_every_writing_of_every_row_is_exact_and_a_changed_digit_is_not(name: str, seed: int) -> None:
    family, rng = EVERY[name], random.Random(seed)
    field = rng.choice([f for f in family.fields if f.attributes])
    row, form = rng.choice(field.rows), shape(rng.choice(field.writings))
    texts = core_texts(family, field, row, rng.choice(form.cores)[0])
    if not texts:
        return
    text = rng.choice(form.prefixes)[0] + rng.choice(texts)[0] + rng.choice(form.suffixes)[0]
    plate = plate_of(read([text]))
    assert faith(family, field, row, plate, 0, len(plate)) == "exact", text
    hidden = rng.randrange(len(text))
    damaged = plate_of(read([text[:hidden] + "?" + text[hidden + 1 :]])) if text[hidden] != " " else plate
    assert faith(family, field, row, damaged, 0, len(damaged)) == "exact", text
    digits = [k for k, char in enumerate(text) if char.isdigit()]
    if digits:
        at = rng.choice(digits)
        other = text[:at] + ("7" if text[at] != "7" else "4") + text[at + 1 :]
        if not says(family, field.name, row, other):
            return
        wrong = plate_of(read([other]))
        assert faith(family, field, row, wrong, 0, len(wrong)) != "exact", (text, other)


def says(family: Family, field: str, row: object, text: str) -> bool:
    """Whether the digit belongs to the value, so that the row has no writing like that ("25" stands in a label too)."""
    known = next(f for f in family.fields if f.name == field)
    every = {
        a[0] + c[0] + b[0]
        for w in known.writings
        for form in [shape(w)]
        for flat, _ in form.cores
        for c in core_texts(family, known, row, flat)  # type: ignore[arg-type]  # a row of that field
        for a in form.prefixes
        for b in form.suffixes
    }
    return text.replace(" ", "") not in {t.replace(" ", "") for t in every}


@pytest.mark.parametrize(
    ("plate", "kind", "attribute", "low", "high"),
    [
        (["PRI 2300 V SEC 115 V"], "transformer", "primary_voltage", 2300.0, 2300.0),
        (["TRANSFORMER 5 KVA IMP 4.1%"], "transformer", "impedance", 0.041, 0.041),
        (["80-100 µF"], "ac_capacitor", "capacitance", 80e-6, 100e-6),
        (["80 - 100 MFD 125 V"], "ac_capacitor", "capacitance", 80e-6, 100e-6),
        (["AB 420 V~"], "ac_capacitor", "voltage_ac", 420.0, 420.0),
        (["50 KVAR 400 V"], "ac_capacitor", "kvar", 50e3, 50e3),
        (["COIL 100-250V AC/DC"], "contactor", "coil_voltage", 100.0, 250.0),
        (["13 x 1330 Li"], "v_belt", "length", 1.33, 1.33),
        (["A 77.5"], "v_belt", "length", 77.5 * 0.0254, 77.5 * 0.0254),
        (["SPB 1275"], "v_belt", "length", 1.275, 1.275),
        (["MOTOR 220-240/380-415 V 1.5 kW 2850 RPM 50 Hz"], "ac_motor", "voltage", 220.0, 240.0),
    ],
)
def test_a_legible_number_is_that_number(
    plate: list[str], kind: str, attribute: str, low: float, high: float
) -> None:
    found = best(*plate)
    assert found.spec.family == kind
    value = EVERY[kind].complete(found.spec).first(attribute)
    assert value is not None
    assert (value.low, value.high) == (pytest.approx(low), pytest.approx(high))


@pytest.mark.parametrize(
    ("plate", "kind", "never"),
    [
        (["3 HP 1450 RPM", "LRA 150"], "ac_motor", {"current", "voltage", "frequency"}),
        (["TRANSFORMER 100 VA", "IS: 2026"], "transformer", {"primary_voltage", "secondary_voltage"}),
        (["MOTOR 1,5/2,2 kW"], "ac_motor", {"service_factor"}),
        (
            ["CONTACTOR", "25 AMPS 600 V"],
            "contactor",
            {"current@DC@600V", "current@AC-3@690V", "current@AC-1@690V"},
        ),
        (["AC-1 25A", "Ui 690V"], "contactor", {"current@AC-1@690V", "current@AC-1@400V"}),
        (["HNBR 40x62x8"], "shaft_seal", {"material"}),
        (["TRANSFORMER CLASS 2 100 VA"], "transformer", {"insulation_class"}),
    ],
)
def test_nothing_rests_on_what_does_not_stand_there(plate: list[str], kind: str, never: set[str]) -> None:
    found = best(*plate)
    assert found.spec.family == kind
    told = {f"{v.attribute}@{v.qualifier}" if v.qualifier else v.attribute for v in found.relied_on.values}
    assert not told & never


def test_a_reading_that_changes_a_legible_glyph_says_so() -> None:
    found = best("MOTOR", "3 HP", "FRAME 217Z 1430 RPM")
    given = [g for g in found.account if g.misread]
    assert given and all("you typed" in g.says or "left over" in g.says for g in given)
    assert found.relied_on.first("frame") is None


@pytest.mark.parametrize(("typed", "known"), [("CLASS F", True), ("CLASS ?", False), ("T?FC", True)])
def test_a_half_legible_word_that_says_other_things_nearly_as_well_is_not_relied_on(
    typed: str, known: bool
) -> None:
    found = best("4 KW", "1430 RPM", "400 V", typed, kind="ac_motor").relied_on
    assert (found.has("insulation") or found.has("enclosure")) is known
