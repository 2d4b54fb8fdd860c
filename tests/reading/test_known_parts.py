"""Known parts beside constructed specifications."""

from __future__ import annotations

from partsdb.model import Context, KnownPart, Spec, number, word
from partsdb.reading import build_index, identify, read
from support.kinds import KINDS


def condenser(part_id: str, farads: float, volts: float, designation: str = "", maker: str = "") -> KnownPart:
    values = (number("capacitance", farads), number("voltage", volts), number("frequency", 60.0))
    return KnownPart(part_id, Spec("condenser", values), designation, maker)


PARTS = (
    condenser("a", 25e-6, 440.0, "HX-2544", "Harlow"),
    condenser("b", 20e-6, 440.0, "HX-2044", "Harlow"),
    condenser("c", 33e-6, 440.0, "QT3344", "Quantock"),
    KnownPart("d", Spec("roller", (word("designation", "6205"), word("seal", "both"))), "6205-2RS"),
)
INDEX = build_index(PARTS, KINDS)


def test_the_index_counts_its_parts_and_leaves_out_unknown_families() -> None:
    stray = KnownPart("e", Spec("gizmo"))
    assert len(build_index((*PARTS, stray), KINDS)) == len(PARTS)


def test_a_recorded_part_is_found_by_its_values() -> None:
    best = identify(read(["25 MFD", "440 VAC 60 CY"]), KINDS, INDEX).best
    assert best is not None
    assert best.part_id == "a"


def test_a_recorded_part_is_found_by_its_damaged_number_alone() -> None:
    best = identify(read(["HX-20?4"]), KINDS, INDEX).best
    assert best is not None
    assert best.part_id == "b"


def test_a_part_that_nobody_recorded_is_still_identified() -> None:
    best = identify(read(["30 MFD", "440 VAC 60 CY"]), KINDS, INDEX).best
    assert best is not None
    assert best.part_id is None
    assert round((best.spec.num("capacitance") or 0) * 1e6) == 30


def test_a_recorded_part_off_the_standard_rows_is_found() -> None:
    best = identify(read(["33 MFD", "440 VAC 60 CY"]), KINDS, INDEX).best
    assert best is not None
    assert best.part_id == "c"


def test_its_number_covers_the_fields_that_stand_in_it() -> None:
    best = identify(read(["6205-2RS"]), KINDS, INDEX).best
    assert best is not None
    assert best.part_id == "d"
    assert best.probability > 0.9


def test_the_named_maker_raises_his_parts() -> None:
    def share(maker: str | None) -> float:
        found = identify(read(["2? MFD", "440 VAC 60 CY"], (), Context(maker=maker)), KINDS, INDEX)
        return sum(h.probability for h in found.hypotheses if h.part_id in ("a", "b"))

    assert share("harlow") >= share(None)


def test_number_and_value_on_one_plate_both_speak_for_the_recorded_part() -> None:
    """The number as it is left is that of two of them; the microfarads beside it tell which."""
    for microfarads, part in ((25, "a"), (20, "b")):
        found = identify(read(["HX-2?44", f"{microfarads} MFD"]), KINDS, INDEX)
        assert found.best is not None
        assert found.best.part_id == part
        assert found.best.probability > 0.95
        assert {"number", "capacitance"} <= {e.attribute for e in found.best.evidence}
        assert found.unread == ()


def test_a_recorded_part_with_its_number_whole_beats_what_could_be_built_from_the_values() -> None:
    found = identify(read(["QT3344", "33 MFD", "440 VAC"]), KINDS, INDEX)
    assert found.best is not None
    assert found.best.part_id == "c"
    assert found.best.probability > 0.9


def test_a_value_that_contradicts_the_record_speaks_against_it() -> None:
    """The number of one part with the microfarads of another: not as sure as both agreeing."""

    def share(microfarads: int) -> float:
        found = identify(read(["HX-2544", f"{microfarads} MFD", "440 VAC"]), KINDS, INDEX)
        return sum(h.probability for h in found.hypotheses if h.part_id == "a")

    assert share(25) > 0.95
    assert share(20) < share(25) - 0.05
