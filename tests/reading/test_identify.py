"""What a plate says, by its text alone: two small kinds of part."""

from __future__ import annotations

import pytest

from partsdb.errors import NotFound
from partsdb.model import Context, Identification, Measured, Value
from partsdb.reading import identify, read
from support.kinds import KINDS


def seen(
    *fragments: str, context: Context = Context(), measured: tuple[Measured, ...] = ()
) -> Identification:
    return identify(read(fragments, measured, context), KINDS)


def value(found: Identification, attribute: str) -> Value:
    assert found.best is not None
    said = found.best.spec.first(attribute)
    assert said is not None
    return said


def test_a_clean_plate_is_read_with_near_certainty() -> None:
    found = seen("25 MFD", "440 VAC 60 CY")
    assert found.best is not None
    assert found.best.probability > 0.9
    assert value(found, "capacitance").low == pytest.approx(25e-6)
    assert value(found, "voltage").low == 440
    assert value(found, "frequency").low == 60


def test_two_readings_that_fit_alike_share_the_probability() -> None:
    found = seen("2? MFD", "440 VAC")
    top = {round((h.spec.num("capacitance") or 0) * 1e6, 3): h.probability for h in found.hypotheses[:2]}
    assert set(top) == {20, 25}
    assert top[20] == pytest.approx(top[25], rel=1e-3)


def test_one_of_two_glyphs_narrows_to_them() -> None:
    found = seen("[34]0 MFD", "440 VAC")
    assert {round((h.spec.num("capacitance") or 0) * 1e6) for h in found.hypotheses[:2]} == {30, 40}


def test_a_misread_glyph_does_not_hide_the_part() -> None:
    assert value(seen("Z5 MFD", "44O VAC"), "capacitance").low == pytest.approx(25e-6)


def test_a_run_stands_for_any_number_of_glyphs() -> None:
    found = seen("... MFD", "4...C 60 CY")
    assert value(found, "frequency").low == 60


def test_a_number_that_no_row_has_is_believed_when_it_is_legible() -> None:
    found = seen("27 MFD", "440 VAC")
    assert value(found, "capacitance").low == pytest.approx(27e-6)
    assert any("not a usual value" in e.note for e in (found.best.evidence if found.best else ()))


def test_makers_names_and_serial_numbers_do_not_hurt() -> None:
    clean, noisy = seen("25 MFD 440 VAC"), seen("HARLOW & SONS", "25 MFD 440 VAC", "SER 778213-B")
    assert noisy.best is not None
    assert clean.best is not None
    assert noisy.best.probability > 0.9 * clean.best.probability
    assert noisy.unread == ("HARLOW", "&", "SONS", "SER", "778213-B") or "HARLOW" in noisy.unread


def test_a_text_of_no_known_kind_has_no_answer_and_keeps_the_raw_reading() -> None:
    found = seen("HELLO WORLD")
    assert found.hypotheses == ()
    assert found.leftover == 1.0
    assert found.unread == ("HELLO WORLD",)


def test_evidence_points_at_the_text_as_typed() -> None:
    found = seen("TYPE A", "xx 2[05] µF 440 V")
    assert found.best is not None
    for evidence in found.best.evidence:
        if evidence.attribute == "capacitance":
            assert evidence.where is not None
            fragment, start, end = evidence.where
            assert found.reading.fragments[fragment].text[start:end] == "2[05] µF"
            assert evidence.log_odds > 3
            break
    else:
        pytest.fail("no evidence for the capacitance")


def test_values_carry_the_plate_as_their_source() -> None:
    said = value(seen("25 MFD", "440 VAC"), "capacitance")
    assert said.source.citation == "plate: 25 MFD"
    assert said.as_written == "25 MFD"


def test_what_the_plate_leaves_out_is_the_usual_and_says_so() -> None:
    said = value(seen("6205 2RS"), "clearance")
    assert said.code == "normal"
    assert said.source.status == "judgement"
    assert said.confidence < 1


def test_what_the_plate_says_beats_the_usual() -> None:
    assert value(seen("6205 2RS C3"), "clearance").code == "C3"


def test_a_contradicted_value_loses_to_one_that_agrees() -> None:
    # 2 pi 60 · 25e-6 · 440² = 1.82 kvar: with "2 kvar" on the plate 25 µF falls, 30 µF (2.19) is nearer
    alone, with_kvar = seen("2? MFD 440 V 60 CY"), seen("2? MFD 440 V 60 CY", "1.5 KVAR")
    assert {round((h.spec.num("capacitance") or 0) * 1e6) for h in alone.hypotheses[:2]} == {20, 25}
    assert value(with_kvar, "capacitance").low == pytest.approx(20e-6)


def test_dimensions_name_a_part_without_any_plate() -> None:
    measured = (Measured("bore", 0.025, 2e-5), Measured("outside", 0.056, 2e-5))
    assert value(seen(measured=measured), "designation").code == "6205"


def test_a_measurement_decides_between_two_readings() -> None:
    found = seen("2? MFD", "440 VAC", measured=(Measured("capacitance", 24.2e-6, 0.3e-6),))
    assert value(found, "capacitance").low == pytest.approx(25e-6)
    assert any("measured" in e.note for e in (found.best.evidence if found.best else ()))


def test_wear_only_lowers_the_reading_of_a_run_capacitor() -> None:
    # 22.5 µF measured: a tired 25 is likelier than a grown 20
    found = seen("2? MFD", "440 VAC", measured=(Measured("capacitance", 22.4e-6, 0.2e-6),))
    assert value(found, "capacitance").low == pytest.approx(25e-6)


def test_a_measurement_that_nothing_explains_is_kept_as_a_value() -> None:
    found = seen("25 MFD 440 V", measured=(Measured("kvar", 1800.0, 20.0, "power meter"),))
    assert value(found, "kvar").source.status == "measured"


def test_the_machines_supply_shifts_but_never_filters() -> None:
    at_50 = Context(supply_frequency=50.0)
    assert value(seen("440 V ?0 CY 25 MFD", context=at_50), "frequency").low == 50
    assert value(seen("440 V 60 CY 25 MFD", context=at_50), "frequency").low == 60


def test_a_named_family_competes_alone() -> None:
    found = seen("25 MFD 440 VAC", context=Context(family="condenser"))
    assert [name for name, _ in found.families] == ["condenser"]


def test_an_unknown_family_is_refused_with_the_known_ones() -> None:
    with pytest.raises(NotFound, match="condenser"):
        seen("25 MFD", context=Context(family="gizmo"))


def test_no_families_means_no_answer() -> None:
    assert identify(read(["25 MFD"]), {}).hypotheses == ()


def test_words_that_any_plate_carries_name_no_kind_of_part() -> None:
    found = seen("MADE IN ENGLAND", "25 MFD 440 VAC")
    assert found.families[0][0] == "condenser"
    assert found.best is not None
    assert [g.standing for g in found.best.account if "MADE" in g.text] == ["harmless"]
