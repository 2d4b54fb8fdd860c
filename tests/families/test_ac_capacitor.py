"""The AC capacitor: limits below, at and above each edge; combinations; hazards; causes; life."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest

from partsdb.equivalence import combinations, in_place, judge
from partsdb.equivalence.ruling import ACCEPTED
from partsdb.families.ac_capacitor import formulas as physics
from partsdb.family import Combination, families
from partsdb.importers import References, read_list
from partsdb.intervals import Interval
from partsdb.kit import requirement
from partsdb.model import KnownPart, Limit, Spec, Value, Verdict, number, span, word
from partsdb.records import Part
from partsdb.source import Source, judgement, measured, plate

FAMILY = families()["ac_capacitor"]
SEEN = plate("as typed")
Offer = float | str | tuple[float | None, float | None]
# what no plate says and anybody sees: both sides have it where a straight swap is meant
CASE: dict[str, Offer] = {"terminals": "tabs", "diameter": 0.05, "length": 0.1}


def cap(microfarads: float | tuple[float, float] | None, /, **values: Offer) -> Spec:
    """A capacitor: µF, then attributes in SI units, words, or ranges."""
    found: list[Value] = []
    if isinstance(microfarads, tuple):
        found.append(span("capacitance", microfarads[0] * 1e-6, microfarads[1] * 1e-6, SEEN))
    elif microfarads is not None:
        found.append(number("capacitance", microfarads * 1e-6, SEEN))
    for name, value in values.items():
        if isinstance(value, str):
            found.append(word(name, value, SEEN))
        elif isinstance(value, tuple):
            found.append(span(name, *value, SEEN))
        else:
            found.append(number(name, value, SEEN))
    return Spec("ac_capacitor", tuple(found))


def run(microfarads: float = 25, volts: float = 440, **values: Offer) -> Spec:
    """A film run capacitor, 60 Hz."""
    base: dict[str, Offer] = {
        "voltage_ac": volts, "service": "run", "frequency": 60.0, "construction": "film"
    }  # fmt: skip
    return cap(microfarads, **(CASE | base | values))


def start(low: float = 88, high: float = 108, volts: float = 250, **values: Offer) -> Spec:
    """An electrolytic start capacitor, 60 Hz."""
    base: dict[str, Offer] = {
        "voltage_ac": volts, "service": "start", "frequency": 60.0, "construction": "electrolytic"
    }  # fmt: skip
    return cap((low, high), **(CASE | base | values))


def verdict(old: Spec, new: Spec, **duty: float | str) -> Verdict:
    return judge(FAMILY, [requirement(FAMILY, old, duty)], KnownPart("offered", new), duty)


def limit(old: Spec, attribute: str, **duty: float | str) -> Limit:
    return next(x for x in requirement(FAMILY, old, duty).limits if x.attribute == attribute)


# --------------------------------------------------------------------------- capacitance


@pytest.mark.parametrize(
    ("microfarads", "outcome"),
    [
        (19.9, "don't fit"),
        (20.0, "temporary"),
        (23.4, "temporary"),
        (23.5, "straight swap"),
        (25.0, "straight swap"),
        (26.5, "straight swap"),
        (26.6, "temporary"),
        (28.75, "temporary"),
        (28.8, "don't fit"),
    ],
)
def test_a_run_capacitor_takes_six_percent_either_way_and_a_little_more_while_watched(
    microfarads: float, outcome: str
) -> None:
    assert verdict(run(25), run(microfarads)).outcome == outcome


def test_a_plates_own_tolerance_counts_but_never_beyond_ten_percent() -> None:
    narrow = limit(run(20, tolerance="±5 %"), "capacitance").accept
    assert isinstance(narrow, Interval)
    assert (narrow.low, narrow.high) == pytest.approx((19e-6, 21e-6))
    wide = limit(run(20, tolerance="±20 %"), "capacitance").accept
    assert isinstance(wide, Interval)
    assert (wide.low, wide.high) == pytest.approx((18e-6, 22e-6))


@pytest.mark.parametrize(
    ("low", "high", "outcome"),
    [
        (88, 108, "straight swap"),
        (90, 106, "straight swap"),
        (108, 130, "can't say yet"),
        (130, 156, "don't fit"),
    ],
)
def test_a_start_capacitors_marked_range_must_lie_in_the_old_ones(
    low: float, high: float, outcome: str
) -> None:
    assert verdict(start(), start(low, high)).outcome == outcome


def test_a_start_capacitor_marked_with_one_figure_takes_up_to_a_fifth_more() -> None:
    accept = limit(cap(100, voltage_ac=250.0, service="start"), "capacitance").accept
    assert isinstance(accept, Interval)
    assert (accept.low, accept.high) == pytest.approx((100e-6, 120e-6))


def test_an_unknown_size_is_asked_for_not_guessed() -> None:
    found = verdict(cap(None, voltage_ac=440.0, service="run"), run())
    assert found.outcome == "can't say yet"
    assert any("capacitance the motor needs" in line for line in found.missing)


# --------------------------------------------------------------------------- volts


@pytest.mark.parametrize(
    ("volts", "outcome"),
    [(370, "don't fit"), (439, "don't fit"), (440, "straight swap"), (450, "straight swap")],
)
def test_the_plates_ac_volts_are_the_least(volts: float, outcome: str) -> None:
    assert verdict(run(volts=440), run(volts=volts)).outcome == outcome


@pytest.mark.parametrize(
    ("volts", "outcome"),
    [(399, "don't fit"), (400, "temporary"), (439.9, "temporary"), (440.1, "straight swap")],
)
def test_a_measured_voltage_is_raised_to_high_supply_and_below_that_is_only_temporary(
    volts: float, outcome: str
) -> None:
    assert verdict(run(volts=370), run(volts=volts), working_voltage=400.0).outcome == outcome


def test_a_laxer_measurement_doesnt_silently_replace_the_plate() -> None:
    """300 V measured on a 440 V plate: 370 V is enough for the duty but shown as less than the maker chose."""
    found = verdict(run(volts=440), run(volts=370), working_voltage=300.0)
    assert found.outcome == "temporary"
    of_volts = {c.limit.weight: c.status for c in found.checks if c.limit.attribute == "voltage_ac"}
    assert of_volts == {"safety": "pass", "life": "breach"}
    assert "440 V" in limit(run(volts=440), "voltage_ac", working_voltage=300.0).follows_from


def test_supply_volts_alone_never_decide() -> None:
    """Neither a 250 V nor a 660 V part passes while only the 230 V supply is known."""
    old = cap(25, service="run")
    for volts in (250.0, 440.0, 660.0):
        found = verdict(old, run(volts=volts), supply_voltage=230.0)
        assert found.outcome == "can't say yet"
        assert any("healthy capacitor" in line and "voltmeter" in line for line in found.missing)


def test_supply_volts_dont_soften_what_the_plate_says() -> None:
    assert verdict(run(volts=440), run(volts=250), supply_voltage=230.0).outcome == "don't fit"


@pytest.mark.parametrize(
    ("wanted", "status"), [(440.0, "breach"), (213.0, "breach"), (212.0, "unknown"), (110.0, "unknown")]
)
def test_a_dc_rating_proves_a_breach_and_never_a_pass(wanted: float, status: str) -> None:
    """600 V DC is never more than 212 V AC (one author's rule, an upper bound)."""
    film = cap(25, voltage_dc=600.0, service="run", frequency=60.0, construction="film")
    found = verdict(run(volts=wanted), film)
    assert next(c.status for c in found.checks if c.limit.attribute == "voltage_ac") == status
    assert found.outcome == ("don't fit" if status == "breach" else "can't say yet")


# --------------------------------------------------------------------------- what nobody said


FULL = run(
    tolerance="±6 %",
    life_class="B",
    safety_class="S2",
    bleeder="built in",
    temperature_max=358.15,
    phases=1.0,
)


@pytest.mark.parametrize(
    ("gone", "outcome", "asked"),
    [
        ("capacitance", "can't say yet", "capacitance the motor needs"),
        ("voltage_ac", "can't say yet", "voltage across the part when healthy"),
        ("diameter", "fits with work", "case diameter"),
        ("length", "fits with work", "case length"),
        ("terminals", "fits with work", "terminals"),
        ("frequency", "straight swap", "frequency"),  # these three only cost life: shown, and never decide
        ("temperature_max", "straight swap", "highest temperature"),
        ("life_class", "straight swap", "class of operation"),
    ],
)
def test_what_the_old_part_doesnt_say_is_asked(gone: str, outcome: str, asked: str) -> None:
    assert verdict(FULL, FULL).outcome == "straight swap"
    assert verdict(FULL, FULL).questions == ()
    found = verdict(FULL.without(gone), FULL)
    assert found.outcome == outcome
    assert asked in {q.about for q in found.questions}
    said = found.missing if outcome == "can't say yet" else [c.text for c in found.changes]
    assert outcome == "straight swap" or any(asked in line for line in said)


def test_the_microfarads_are_asked_of_the_motors_plate_and_settled_by_a_measurement() -> None:
    question = next(q for q in verdict(FULL.without("capacitance"), FULL).questions if q.weight == "function")
    assert question.settled_by == "capacitance"
    assert "motor's plate" in question.ask


def test_a_readable_plate_without_class_or_resistor_never_had_one() -> None:
    """Every class is as good as none, and so is a part that shows none: film run capacitors stay straight swaps."""
    for offered in (run(), run(safety_class="S0"), run(safety_class="S3", bleeder="built in")):
        assert verdict(run(), offered).outcome == "straight swap"
    assert not {q.about for q in verdict(run(), run()).questions} & {
        "class of safety protection",
        "discharge resistor",
    }


@pytest.mark.parametrize(
    "source", [measured("capacitance meter"), judgement("a standard size near what was measured")]
)
def test_a_damaged_plate_is_no_plate_without_a_class(source: Source) -> None:
    """Where the microfarads had to be measured, a class may have stood where nobody can read."""
    old = run().without("capacitance").plus([number("capacitance", 25e-6, source)])
    found = verdict(old, FULL)
    assert found.outcome == "can't say yet"
    assert {"class of safety protection", "discharge resistor"} <= {q.about for q in found.questions}
    assert any("fails open" in line for line in found.missing)
    looked = old.plus([word("safety_class", "S2", SEEN), word("bleeder", "none", SEEN)])
    assert verdict(looked, FULL).outcome == "straight swap"
    assert verdict(looked, run(safety_class="S0")).outcome == "don't fit"


def test_volts_that_had_to_be_measured_say_that_the_plate_is_gone() -> None:
    found = verdict(run().without("voltage_ac"), FULL, working_voltage=372.0)
    assert found.outcome == "can't say yet"
    assert "class of safety protection" in {q.about for q in found.questions}


def test_a_correction_capacitors_phases_are_asked() -> None:
    old = run(service="correction", bleeder="built in")
    assert verdict(old, old).outcome == "can't say yet"
    three = run(service="correction", bleeder="built in", phases=3.0)
    assert verdict(three, three).outcome == "straight swap"
    assert verdict(run(service="correction", bleeder="built in", phases=1.0), three).outcome == "don't fit"


def test_a_part_for_three_phases_is_never_a_motors() -> None:
    three = run().without("service").plus([number("phases", 3.0, SEEN)])
    assert verdict(run(), three).outcome == "don't fit"


def test_a_tight_tolerance_that_nobody_read_is_taken_as_the_usual_one_and_said_to_be() -> None:
    follows = limit(run(20), "capacitance").follows_from
    assert "±6 %" in follows or "6 %" in follows
    assert verdict(run(20, tolerance="±3 %"), run(21)).outcome == "temporary"


def test_a_duty_to_start_doesnt_widen_what_a_run_capacitor_was_marked_for() -> None:
    assert verdict(run(25), run(23.6), service="start").outcome == "straight swap"
    assert verdict(run(25), run(29), service="start").outcome == "don't fit"


def test_no_offered_part_answers_what_only_the_place_can_tell() -> None:
    """A list's column of working volts is nothing a part has: 250 V is no swap where the old volts aren't known."""
    names = {a.name for a in FAMILY.attributes}
    assert not names & {"working_voltage", "wanted_capacitance"}
    text = (
        "kind,designation,capacitance,voltage_ac,frequency,service,construction,terminals,diameter,length,"
        "working voltage (V),wanted capacitance,safety class\n"
        "ac_capacitor,ZQ-25-250,25 µF,250 V,60 Hz,run,film,tabs,50 mm,100 mm,250,25,S3\n"
    )
    known = References({"ac_capacitor": FAMILY}, part_id=lambda *_: None, supplier_id=lambda _: None)
    listing = read_list(io.BytesIO(text.encode()), "list.csv", "catalogue", known, None)
    ((_, part),) = list(listing)
    assert isinstance(part, Part)
    assert part.spec.num("voltage_ac") == 250
    assert {"working voltage (V)", "wanted capacitance"} <= set(listing.ignored)
    for old in (run().without("voltage_ac"), run().without("voltage_ac", "capacitance")):
        found = verdict(old, part.spec, supply_voltage=415.0)
        assert found.outcome not in ACCEPTED
        assert any("healthy capacitor" in line for line in found.missing)


def test_a_combination_answers_no_question_either() -> None:
    drawer = [KnownPart(str(uf), run(uf, 250), quantity=2, condition="new") for uf in (10, 15, 50)]
    for gone in ("voltage_ac", "capacitance"):
        old = run().without(gone)
        asked = [requirement(FAMILY, old, {"supply_voltage": 415.0})]
        found = combinations(FAMILY, asked, drawer, {"supply_voltage": 415.0}, even_if_one_does=True)
        assert not [v for v in found if v.outcome in ACCEPTED]


# --------------------------------------------------------------------------- service, frequency, heat, class


def test_a_start_capacitor_never_goes_into_running_service_but_a_run_one_may_start() -> None:
    assert verdict(run(100), start(95, 105, 440)).outcome == "don't fit"
    assert verdict(start(), run(100, 250)).outcome == "straight swap"


def test_an_electrolytic_without_a_service_mark_is_refused_in_running_service() -> None:
    offered = cap(25, voltage_ac=440.0, frequency=60.0, construction="electrolytic")
    assert verdict(run(), offered).outcome == "don't fit"


def test_an_unknown_service_of_the_place_is_taken_as_continuous() -> None:
    accept = limit(cap(25, voltage_ac=440.0), "service").accept
    assert accept == ("run",)


def test_the_duty_overrules_the_service_on_the_plate() -> None:
    assert limit(cap(25, voltage_ac=440.0, service="start"), "service", service="run").accept == ("run",)


@pytest.mark.parametrize(
    ("place", "marked", "status"),
    [
        (60.0, (60.0, 60.0), "pass"),
        (60.0, (50.0, 60.0), "pass"),
        (60.0, (50.0, 50.0), "breach"),
        (50.0, (60.0, 60.0), "pass"),
        (50.0, (50.0, 50.0), "pass"),
        (50.0, (40.0, 40.0), "breach"),
    ],
)
def test_a_rating_for_more_cycles_serves_fewer_but_not_the_other_way(
    place: float, marked: tuple[float, float], status: str
) -> None:
    found = verdict(run(), run(frequency=marked), supply_frequency=place)
    assert next(c.status for c in found.checks if c.limit.attribute == "frequency") == status


@pytest.mark.parametrize(
    ("top", "outcome"), [(341.0, "temporary"), (343.15, "straight swap"), (358.15, "straight swap")]
)
def test_the_air_and_its_own_ten_kelvin_ask_for_a_temperature(top: float, outcome: str) -> None:
    assert verdict(run(), run(temperature_max=top), ambient=333.15).outcome == outcome


@pytest.mark.parametrize(
    ("letter", "outcome"), [("C", "temporary"), ("B", "straight swap"), ("A", "straight swap")]
)
def test_a_lower_class_of_operation_only_costs_life(letter: str, outcome: str) -> None:
    found = verdict(run(life_class="B"), run(life_class=letter))
    assert found.outcome == outcome
    assert (found.stated_hours is not None) == (outcome == "temporary")


@pytest.mark.parametrize(
    ("mark", "outcome"), [("S1", "don't fit"), ("S2", "straight swap"), ("S3", "straight swap")]
)
def test_a_lower_safety_class_is_refused(mark: str, outcome: str) -> None:
    assert verdict(run(safety_class="S2"), run(safety_class=mark)).outcome == outcome


# --------------------------------------------------------------------------- filling, discharge, case


@pytest.mark.parametrize(
    ("made", "outcome"), [(1978.0, "don't fit"), (1979.0, "don't fit"), (1980.0, "straight swap")]
)
def test_an_oil_capacitor_from_before_the_ban_is_never_used_again(made: float, outcome: str) -> None:
    assert verdict(run(), run(construction="paper-oil", made=made)).outcome == outcome


def test_an_oil_capacitor_without_a_date_must_first_prove_itself() -> None:
    assert verdict(run(), run(construction="paper-oil")).outcome == "can't say yet"
    assert verdict(run(), run(construction="paper-oil", content="no PCBs")).outcome == "straight swap"


def test_a_missing_discharge_resistor_is_cured_by_one_of_the_right_ohms_and_watts() -> None:
    found = verdict(run(bleeder="built in"), run(bleeder="none"))
    assert found.outcome == "fits with work"
    assert any("910 kΩ" in c.text and "622 V peak" in c.text for c in found.changes)
    assert verdict(run(bleeder="built in"), run(bleeder="built in")).outcome == "straight swap"
    assert verdict(run(bleeder="built in"), run()).outcome == "can't say yet"


def test_a_correction_capacitor_always_needs_its_discharge() -> None:
    old = cap(None, kvar=2500.0, voltage_ac=480.0, frequency=60.0, service="correction", construction="film")
    size = limit(old, "capacitance").accept
    assert isinstance(size, Interval)
    assert physics.capacitance_of(2500, 480, 60) in size
    assert limit(old, "bleeder").accept == ("fitted", "built in")


@pytest.mark.parametrize(
    ("mm", "outcome"),
    [(50, "straight swap"), (50.1, "fits with work"), (300, "fits with work"), (301, "don't fit")],
)
def test_a_thicker_case_fits_with_a_strap_or_box_but_not_at_any_size(mm: float, outcome: str) -> None:
    assert verdict(run(diameter=0.05), run(diameter=mm / 1000)).outcome == outcome


def test_other_terminals_are_a_matter_of_crimping() -> None:
    found = verdict(run(terminals="lugs"), run(terminals="tabs"))
    assert found.outcome == "fits with work"
    assert any("crimp" in c.text for c in found.changes)


@pytest.mark.parametrize(
    "spec",
    [
        run(
            tolerance="±6 %", life_class="B", safety_class="S2", bleeder="built in", diameter=0.05, length=0.1
        ),
        run(frequency=(50.0, 60.0), temperature_max=358.15, phases=1.0, terminals="tabs"),
        start(),
        run(construction="paper-oil", made=1985.0, tolerance="±20 %"),
    ],
)
def test_a_complete_capacitor_is_a_straight_swap_for_itself(spec: Spec) -> None:
    assert verdict(spec, spec).outcome == "straight swap"


# --------------------------------------------------------------------------- combinations

SERIES = next(c for c in FAMILY.combinations if c.kind == "series")
PARALLEL = next(c for c in FAMILY.combinations if c.kind == "parallel")


@pytest.mark.parametrize("how", FAMILY.combinations, ids=lambda c: c.kind)
def test_one_element_is_itself(how: Combination) -> None:
    assert how.whole([run()]) == run()


def test_in_parallel_the_microfarads_add_and_the_weakest_volts_decide() -> None:
    whole = PARALLEL.whole([run(10, 440), run(15, 370)])
    assert whole.num("capacitance") == pytest.approx(25e-6)
    assert whole.num("voltage_ac") == 370
    whole = whole.without("diameter").plus([number("diameter", 0.1, SEEN), word("terminals", "tabs", SEEN)])
    assert verdict(run(25, 370, diameter=0.1), whole).outcome == "straight swap"
    assert verdict(run(25, 440, diameter=0.1), whole).outcome == "don't fit"


def test_in_series_tolerances_decide_who_gets_most() -> None:
    """Two of 50 µF ±10 %: worst share 1/0.9 / (1/0.9 + 1/1.1) = 0.55, so 250 V parts hold 454.5 V, not 500 V."""
    pair = [run(50, 250, tolerance="±10 %"), run(50, 250, tolerance="±10 %")]
    whole = SERIES.whole(pair)
    assert whole.num("capacitance") == pytest.approx(25e-6)
    assert whole.num("voltage_ac") == pytest.approx(250 / 0.55)
    assert whole.code("tolerance") == "±10 %"
    shares = SERIES.share(pair, requirement(FAMILY, run(25, 440), {}).limits, {})
    asked = [next(x for x in one if x.attribute == "voltage_ac").accept for one in shares]
    assert [a.low for a in asked if isinstance(a, Interval)] == pytest.approx([242.0, 242.0])


def test_the_smaller_of_two_in_series_takes_the_larger_share() -> None:
    whole = SERIES.whole([run(30, 300, tolerance="±5 %"), run(60, 300, tolerance="±5 %")])
    share = (1 / (30 * 0.95)) / (1 / (30 * 0.95) + 1 / (60 * 1.05))
    assert whole.num("voltage_ac") == pytest.approx(300 / share)
    assert share > 2 / 3


def test_what_one_element_doesnt_carry_the_whole_doesnt_carry() -> None:
    bare = cap(15, service="run", construction="film")
    for how in FAMILY.combinations:
        whole = how.whole([run(10), bare])
        assert not whole.has("frequency")
        volts = whole.first("voltage_ac")
        assert volts is None or volts.low is None
    trap = cap(15, voltage_dc=600.0, service="run", construction="film")
    volts = PARALLEL.whole([run(10), FAMILY.complete(trap)]).first("voltage_ac")
    assert volts is not None
    assert volts.low is None
    assert volts.high == pytest.approx(212.13, abs=0.01)


def test_a_start_capacitor_in_the_bank_makes_it_a_start_bank() -> None:
    assert PARALLEL.whole([run(10), start()]).code("service") == "start"


def test_an_element_is_asked_for_everything_but_size_and_place() -> None:
    limits = requirement(FAMILY, run(25, 440, diameter=0.05, bleeder="built in"), {}).limits
    (first, _) = PARALLEL.share([run(10), run(15)], limits, {})
    names = {x.attribute for x in first}
    assert {"voltage_ac", "service", "frequency", "content"} <= names
    assert not names & {"capacitance", "diameter", "bleeder"}


def test_the_building_words_size_a_resistor_for_every_element() -> None:
    lines = SERIES.build(
        [run(50, 250, tolerance="±10 %"), run(50, 250, tolerance="±10 %")], {"working_voltage": 400.0}
    )
    sized = [line for line in lines if "Discharge resistor" in line]
    assert len(sized) == 2
    volts = 400 * 1.1 * 0.55
    wanted = physics.bleeder(50e-6, volts)
    assert f"{wanted.ohms / 1e3:.0f} kΩ" in sized[0]
    assert wanted.seconds <= 60
    assert wanted.watts == pytest.approx(2 * volts**2 / wanted.ohms)
    assert any("live" in line for line in lines)


# --------------------------------------------------------------------------- hazards and figures


def test_the_charge_caution_gives_joules_seconds_ohms_and_watts() -> None:
    caution = next(h for h in FAMILY.hazards if h.id == "stored charge")
    assert caution.figures is not None
    figures = dict(caution.figures(run(25, 440, bleeder_ohms=1e6), {}))
    assert figures["stored"] == "4.8 J"
    assert figures["charged to"] == "622 V"
    seconds = 1e6 * 25e-6 * math.log(math.sqrt(2) * 440 / 50)
    assert figures["its own resistor"].startswith(f"50 V in {seconds:.0f} s (too slow")


def test_the_pcb_caution_stands_until_the_filling_is_known() -> None:
    old = in_place(FAMILY, run(construction="paper-oil", made=1955.0), {})
    young = in_place(FAMILY, run(construction="film"), {})
    assert "pcb" in {c.hazard for c in old.cautions}
    assert "pcb" not in {c.hazard for c in young.cautions}
    assert "pcb" in {c.hazard for c in in_place(FAMILY, cap(25, voltage_ac=440.0), {}).cautions}


def test_after_fitting_tells_the_amperes_to_read() -> None:
    lines = FAMILY.after_fitting(run(25, 440), {})
    amps = 2 * math.pi * 60 * 25e-6 * 440
    assert any(f"{amps:.3g} A" in line for line in lines)


def test_the_shelf_test_names_the_band_to_read() -> None:
    assert any("23.5 µF to 26.5 µF" in line for line in FAMILY.shelf_test(run(25, tolerance="±6 %"), {}))


# --------------------------------------------------------------------------- causes and life


@pytest.mark.parametrize(("supply", "most", "least"), [(60.0, 0.05, 0.0), (50.0, 1.0, 0.5)])
def test_a_supply_of_another_frequency_is_suspected(supply: float, most: float, least: float) -> None:
    found = {s.id: s for s in FAMILY.suspects(run(), {"supply_frequency": supply})}
    assert least <= found["supply-frequency"].strength <= most


def test_over_voltage_is_suspected_once_it_is_measured() -> None:
    high = {s.id: s.strength for s in FAMILY.suspects(run(volts=370), {"working_voltage": 410.0})}
    fine = {s.id: s.strength for s in FAMILY.suspects(run(volts=440), {"working_voltage": 410.0})}
    assert high["over-voltage"] > 0.5 > fine["over-voltage"]


def test_life_halves_with_ten_kelvin_and_follows_the_ninth_power_of_the_volts() -> None:
    part = run(volts=400, life_class="B", temperature_max=343.15)
    assert FAMILY.life is not None
    base = FAMILY.life(part, {"working_voltage": 400.0, "ambient": 333.15})
    hot = FAMILY.life(part, {"working_voltage": 400.0, "ambient": 343.15})
    over = FAMILY.life(part, {"working_voltage": 440.0, "ambient": 333.15})
    assert (base.mid, hot.mid) == pytest.approx((10_000, 5_000))
    assert over.mid == pytest.approx(10_000 * 1.1**-9)
    assert over.low == pytest.approx(10_000 * 1.1**-16)
    assert FAMILY.life(run(), {}).mid is None


# --------------------------------------------------------------------------- reading


def test_kvar_must_agree_with_size_volts_and_cycles() -> None:
    factor = FAMILY.consistency[0].log_factor
    true = physics.reactive_power(25e-6, 440, 60)
    got = factor(
        np.full(5, 25e-6),
        np.full(5, 440.0),
        np.full(5, 60.0),
        np.array([true, 3 * true, 2 * true, np.nan, 1.3 * true]),
    )
    assert got[0] == pytest.approx(0)
    assert got[1] == pytest.approx(0)
    assert got[2] < -5
    assert got[3] == 0
    assert got[4] < -5


def test_unknown_values_never_count_against_a_reading() -> None:
    for one in FAMILY.consistency:
        numbers = [np.array([np.nan]) for _ in one.attributes]
        arrays = [
            np.array([None], dtype=object) if a == "service" else n
            for a, n in zip(one.attributes, numbers, strict=True)
        ]
        assert one.log_factor(*arrays).tolist() == [0.0]


def test_every_fields_rows_and_writings_belong_to_known_attributes() -> None:
    for one in FAMILY.fields:
        assert one.rows
        assert one.writings
        for name in one.attributes:
            attribute = FAMILY.attribute(name)
            for row in one.rows:
                (value,) = row.values
                assert (attribute.unit is None) == isinstance(value, str)
                assert not isinstance(value, str) or value in attribute.codes


def test_titles_are_trade_names() -> None:
    assert FAMILY.title_of(run(25, 440)) == "25 µF 440 V AC run"
    assert FAMILY.title_of(start()) == "88-108 µF 250 V AC start"
    assert FAMILY.title_of(FAMILY.complete(cap(10, voltage_dc=630.0))) == "10 µF 630 V DC only"


def test_every_limit_carries_its_source_and_what_a_breach_means() -> None:
    for one in requirement(
        FAMILY, run(bleeder="built in", life_class="B", diameter=0.05), {"working_voltage": 300.0}
    ).limits:
        assert isinstance(one.source, Source)
        assert one.follows_from
        assert one.breach


def test_volts_of_one_continent_are_rare_on_the_other() -> None:
    factor = next(c for c in FAMILY.consistency if c.attributes == ("voltage_ac", "frequency")).log_factor
    got = factor(
        np.array([370.0, 370.0, 400.0, 400.0, 250.0, 400.0]), np.array([60.0, 50.0, 50.0, 60.0, 50.0, 55.0])
    )
    assert [x < 0 for x in got] == [False, True, False, True, False, False]


def test_the_drawer_makes_up_what_no_single_part_does() -> None:
    """10 + 15 µF side by side, or two of 50 µF in a line; the DC-rated film of the right size stays out."""
    old = run(25, 440, diameter=0.05, tolerance="±6 %")
    drawer = [
        KnownPart("ten", run(10, 440), quantity=1, condition="new"),
        KnownPart("fifteen", run(15, 440), quantity=1, condition="new"),
        KnownPart("fifty", run(50, 250), quantity=2, condition="new"),
        KnownPart(
            "dc", cap(25, voltage_dc=630.0, construction="film", service="run", frequency=60.0), quantity=2
        ),
    ]
    found = combinations(FAMILY, [requirement(FAMILY, old, {})], drawer, {}, even_if_one_does=True)
    kinds = {tuple(sorted(v.parts)): v.outcome for v in found}
    assert kinds[("fifteen", "ten")] == "fits with work"
    assert kinds[("fifty", "fifty")] == "fits with work"
    assert not any("dc" in parts for parts in kinds)


def test_a_start_capacitor_comes_with_the_small_resistor_of_the_trade() -> None:
    assert any("15 kΩ, 2 W" in line for line in FAMILY.goes_with(start(), {}))
    assert any("910 kΩ" in line for line in FAMILY.goes_with(run(25, 440), {}))
    assert not any("resistor" in line for line in FAMILY.goes_with(run(25, 440, bleeder="built in"), {}))
