"""What was found, as it is printed: verdicts, causes, cautions, the next look, the four lines."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from partsdb.equivalence import SharedCause
from partsdb.family import Suspect
from partsdb.intervals import Interval
from partsdb.model import Caution, Check, Identification, Limit, Observation, Plan, Trigger, Verdict, WayOut
from partsdb.outputs.finding import cause_lines, caution_lines, next_lines, suspect_lines, verdict_lines
from partsdb.outputs.report import four_lines
from partsdb.reading import read
from partsdb.records import Inquiry
from partsdb.results import Found
from partsdb.source import PRACTICE
from support.planning_cases import NOW

LOOK = Observation(
    "bore_size", "calipers", 1.0, 2.0, "lock it off",
    (("about 30 mm", 0.8, "6206"), ("about 25 mm", 0.15, "6205"), ("about 20 mm", 0.04, "6204"), ("more", 0.01, "?")),
)  # fmt: skip
CAUSE = SharedCause(
    "tap", "the wrong tap", ("coil", "motor"), ("coil: hot",), ("volts?",), ("another tap",), 0.83
)


def limit(weight: str = "function") -> Limit:
    return Limit(
        "voltage_ac", "at least", Interval(440.0, None), weight,  # type: ignore[arg-type]  # a plain word
        "plate", PRACTICE, "it breaks down",
    )  # fmt: skip


def check(status: str, reason: str, *, weight: str = "function", margin: float | None = None) -> Check:
    return Check(limit(weight), (), status, margin, margin, reason)  # type: ignore[arg-type]  # a plain word


def told(verdict: Verdict, **how: object) -> list[str]:
    return [" ".join(line.split()) for line in verdict_lines(verdict, 90, **how)]  # type: ignore[arg-type]


# --------------------------------------------------------------------------- causes


def test_without_any_cause_it_says_what_to_measure() -> None:
    assert cause_lines((), 90)[0].startswith("No cause stands out.")
    assert suspect_lines((), 90) == []


def test_one_cause_behind_several_faults_goes_before_one_behind_one() -> None:
    alone = replace(CAUSE, title="it is old", positions=("coil",), strength=0.9)
    both = [" ".join(line.split()) for line in cause_lines((alone, CAUSE), 90)]
    assert both == [
        "ONE CAUSE BEHIND SEVERAL FAULTS?",
        "the wrong tap 2 faults, 83 %",
        "- coil: hot",
        "To tell: volts?",
        "Then: another tap.",
    ]
    single = [" ".join(line.split()) for line in cause_lines((alone,), 90)]
    assert single[:2] == ["WHAT KILLED IT?", "it is old 90 %"]


def test_the_likeliest_suspects_come_first_and_only_so_many() -> None:
    names = (("a", 0.2), ("b", 0.7), ("c", 0.4))
    suspects = [Suspect(n, n, "why", "ask?", "then", s, PRACTICE) for n, s in names]
    lines = suspect_lines(suspects, 90, most=2)
    assert [line.strip() for line in lines if line.startswith("  - ")] == [
        "- b (70 %): why",
        "- c (40 %): why",
    ]
    assert lines[2].strip() == "To tell: ask? Then: then."


# --------------------------------------------------------------------------- cautions and the next look


def test_cautions_have_their_figures_unless_they_are_left_out_and_the_local_code_once() -> None:
    caution = Caution("x", "It stays charged.", PRACTICE, (("charged to", "622 V"), ("stored", "4.8 J")))
    text = "\n".join(caution_lines((caution,), 120))
    assert "It stays charged. [charged to: 622 V; stored: 4.8 J]" in text
    assert text.count("local code") == 1
    assert "622 V" not in "\n".join(caution_lines((caution,), 120, figures=False))
    own = replace(caution, text="Follow your local code.")
    assert "\n".join(caution_lines((own, caution), 120)).count("local code") == 1
    assert caution_lines((), 120) == []


def test_the_next_look_has_its_tool_minutes_caution_and_three_outcomes() -> None:
    lines = [line.strip() for line in next_lines((LOOK, LOOK), False, 90)]
    assert lines == [
        "CHECK THIS NEXT",
        "bore size: calipers, about 2 min",
        "Caution: lock it off",
        "- about 30 mm (80 %): 6206",
        "- about 25 mm (15 %): 6205",
        "- about 20 mm (4 %): 6204",
    ]
    assert next_lines((LOOK,), True, 90)[0].startswith("Nothing more you could read or measure")
    assert next_lines((), False, 90) == []


# --------------------------------------------------------------------------- verdicts


def test_a_part_that_fits_tells_its_tightest_safety_limit() -> None:
    checks = (
        check("pass", "loose", weight="safety", margin=40.0),
        check("pass", "tight", weight="safety", margin=2.0),
        check("pass", "no matter", weight="fit", margin=0.0),
    )
    assert told(Verdict(("p",), "25 µF", "straight swap", checks)) == [
        "25 µF straight swap",
        "tight",
    ]


def test_a_part_that_does_not_fit_tells_two_failings_and_a_likely_breach_besides() -> None:
    unknown, other = check("unknown", "not known"), check("unknown", "nor this")
    breach = check("breach", "too little", weight="safety")
    verdict = Verdict(("p",), "part", "don't fit", (unknown, other, breach))
    assert told(verdict, limits=(limit(), limit("safety"))) == [
        "part don't fit", "not known", "nor this", "too little"
    ]  # fmt: skip
    assert told(verdict) == ["part don't fit", "not known", "nor this"]


@pytest.mark.parametrize(("holds", "said"), [(0.994, True), (0.995, False), (1.0, False)])
def test_what_it_depends_on_is_said_where_it_may_not_hold(holds: float, said: bool) -> None:
    lines = told(Verdict(("p",), "part", "straight swap", (), holds, ("voltage_ac",)))
    assert (len(lines) == 2) == said
    assert not said or lines[1] == "holds for 99 % of what was there; depends on: voltage ac"


@pytest.mark.parametrize(
    ("hours", "said"), [(None, "stand-in: attended only"), (1500.0, "stand-in: 1,500 running hours at most")]
)
def test_a_stand_in_says_for_how_long_and_under_what_conditions(hours: float | None, said: str) -> None:
    verdict = Verdict(("p",), "part", "temporary", (), conditions=("half load",), stated_hours=hours)
    assert told(verdict) == ["part temporary", said, "only if: half load"]


def test_only_the_first_missing_fact_is_asked_for_unless_all_is_explained() -> None:
    verdict = Verdict(
        ("p",), "part", "can't say yet", (), missing=("the volts", "the hertz"), differs=("paint",)
    )
    assert told(verdict) == ["part can't say yet", "first: the volts"]
    assert told(verdict, explain=True)[1:] == ["first: the volts", "first: the hertz", "differs: paint"]


# --------------------------------------------------------------------------- the four lines

FOUND = Found(Inquiry("i", NOW), Identification(read(["?"]), (), 1.0, advice=(LOOK,)), None, {})
SUSPECT = Suspect("old", "it is simply old", "age", "Read the date.", "the others too", 0.3, PRACTICE)
PLAN = Plan((), Decimal(0), Decimal(0), "GBP", 0.9, Decimal(0), NOW, NOW)


def last(found: Found, plan: Plan | None) -> str:
    return " ".join(four_lines(found, plan, "Europe/London", 200)[3:])


def test_the_fourth_line_says_what_to_do_if_it_is_not_here() -> None:
    """A trigger goes before the way out, that before what killed it, that before what to look at meanwhile."""
    late = Trigger("n", NOW + timedelta(days=1), "if it isn't here by then", "order from the other")
    out = WayOut("have it made", Decimal(400), NOW + timedelta(days=2))
    suspected = replace(FOUND, suspects=(SUSPECT,))
    both = replace(PLAN, triggers=(late,), way_out=(out,))
    assert last(suspected, both) == "4 If it isn't here by Thu 19 Mar 10:30: order from the other."
    assert last(suspected, replace(PLAN, way_out=(out,))) == (
        "4 If it isn't here: have it made (400.00 GBP), decide by Fri 20 Mar 10:30."
    )
    assert last(suspected, None) == "4 Before you fit it: it is simply old? Read the date."
    assert last(FOUND, None) == "4 While you wait, this tells most: bore size: calipers."
    nothing = replace(FOUND, identification=replace(FOUND.identification, advice=()))
    assert last(nothing, None) == "4 Write down what you fitted, so the next failure is easy."
