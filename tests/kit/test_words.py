"""What a family tells, as data: figures put into texts, conditions, and what an unknown counts as."""

from __future__ import annotations

from partsdb.duty import BY_NAME, Duty
from partsdb.kit import Place, prose
from partsdb.kit.prose import Figures, Vocabulary
from partsdb.model import Change, Limit, Spec, Value, number, word
from partsdb.source import PRACTICE
from support.toy_family import FAMILY


def figures(place: Place) -> Figures:
    volts = place.was.num("voltage")
    return {"half": f"{volts / 2:g} V" if volts else None, "share": 0.25}


KNOWN = Vocabulary({a.name: a for a in FAMILY.attributes}, BY_NAME, figures)


def spec(*values: Value) -> Spec:
    return Spec("toy", values)


def told(row: dict[str, object], part: Spec, duty: Duty | None = None) -> tuple[str, ...]:
    return prose.lines([row], KNOWN)(part, duty or {})


def test_a_text_names_attributes_duty_terms_and_figures() -> None:
    text = "{charge} at {supply_voltage}, half is {half}, share {share}, grade {grade}"
    part = spec(number("charge", 25e-6), number("voltage", 300.0), word("grade", "B"))
    assert told({"text": text}, part, {"supply_voltage": 230.0}) == (
        "25 µF at 230 V, half is 150 V, share 0.25, grade grade B",
    )


def test_where_a_figure_isnt_known_the_other_text_is_told_or_none() -> None:
    row = {"text": "half is {half}", "otherwise": "measure it"}
    assert told(row, spec()) == ("measure it",)
    assert told({"text": "half is {half}"}, spec()) == ()


def test_a_line_is_told_only_where_its_condition_is_known_to_hold() -> None:
    row: dict[str, object] = {"text": "a lid", "when": [["grade", "is", "A"]]}
    assert told(row, spec(word("grade", "A"))) == ("a lid",)
    assert told(row, spec(word("grade", "B"))) == ()
    assert told(row, spec()) == ()


def test_a_condition_may_compare_two_numbers_in_their_units() -> None:
    row: dict[str, object] = {
        "text": "low",
        "when": [["supply_voltage", "<", "{voltage}"], ["charge", ">=", 10]],
    }
    part = spec(number("voltage", 300.0), number("charge", 10e-6))
    assert told(row, part, {"supply_voltage": 299.0}) == ("low",)
    assert told(row, part, {"supply_voltage": 300.0}) == ()
    assert told(row, part.without("voltage"), {"supply_voltage": 10.0}) == ()


def test_for_a_hazard_what_isnt_known_counts_as_holding() -> None:
    (hazard,) = prose.hazards([{"id": "h", "text": "t", "when": [["voltage", ">=", 50]]}], KNOWN)
    for part, expected in (
        (spec(), True),
        (spec(number("voltage", 49.0)), False),
        (spec(number("voltage", 50.0)), True),
    ):
        assert prose.holds(hazard.when, KNOWN.place(part, {}), {}, unknown=True) is expected


def test_figures_of_a_hazard_that_arent_known_are_left_out() -> None:
    row = {"id": "h", "text": "t", "figures": [["half", "{half}"], ["charge", "{charge}"]]}
    (hazard,) = prose.hazards([row], KNOWN)
    assert hazard.figures is not None
    assert hazard.figures(spec(number("charge", 1e-6)), {}) == (("charge", "1 µF"),)


def test_a_suspicion_is_as_strong_as_the_first_facts_that_hold() -> None:
    row = {
        "id": "s", "title": "t", "why": "half is {half}", "otherwise": "nobody knows", "ask": "a", "then": "b",
        "strengths": [{"when": [["grade", "is", "D"]], "is": 0.8}, {"when": [["grade", "is", "A"]], "is": 0.0}],
        "strength": 0.2,
    }  # fmt: skip
    suspected = prose.suspects([row], KNOWN)
    strong, weak = suspected(spec(word("grade", "D"), number("voltage", 300.0)), {}), suspected(spec(), {})
    assert [(s.strength, s.why) for s in (*strong, *weak)] == [(0.8, "half is 150 V"), (0.2, "nobody knows")]
    assert suspected(spec(word("grade", "A")), {}) == ()


def test_a_measurement_has_its_accuracy_in_the_unit_of_what_it_measures() -> None:
    rows = [{"attribute": "bore", "tool": "calipers", "sd": 0.02, "minutes": 1},
            {"attribute": "supply_voltage", "tool": "a voltmeter", "sd": 1.0, "minutes": 2}]  # fmt: skip
    bore, volts = prose.measurements(rows, KNOWN)
    assert (bore.sd_abs, volts.sd_abs) == (0.02e-3, 1.0)


def test_a_cure_names_figures_of_the_offered_part() -> None:
    attributes = {**KNOWN.attributes}
    cure = Change("mount", "fit an adapter", 0.5, PRACTICE)
    attributes["mount"] = type(attributes["mount"])("mount", "mount", None, cure=cure)
    known = Vocabulary(attributes, BY_NAME, figures)
    cured = prose.cures({"mount": "fit an adapter for {half}"}, known, lambda limit, offered, duty: ())
    limit = Limit("mount", "one of", ("rail",), "fit", "plate", PRACTICE, "it hangs loose")
    assert [c.text for c in cured(limit, spec(number("voltage", 300.0)), {})] == ["fit an adapter for 150 V"]
    assert [c.text for c in cured(limit, spec(), {})] == ["fit an adapter"]
