"""The conversation: five short questions, everything saved as it goes, four lines at the end."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from partsdb.records import Inquiry
from partsdb.store import open_store
from support.commands import NOW, partsdb

ANSWERS = "25 MFD; 440 VAC 60 CY\n2\nd\n?\np\nfri 16:00 400\n"


def _numbered(out: str) -> list[str]:
    return re.findall(r"^([1-4]) ", out[out.rindex("\n1 ") :], flags=re.MULTILINE)


def test_it_answers_in_four_lines_with_the_cautions_above(shop: Path):
    ran = partsdb("", shop, typed=ANSWERS, columns=60)
    assert ran.code == 0, ran.err
    assert "What's on the part?" in ran.out
    assert _numbered(ran.out) == ["1", "2", "3", "4"]
    assert ran.out.index("CAUTION") < ran.out.index("\n1 ")
    assert max(map(len, ran.out.splitlines())) <= 60


def test_it_works_with_no_setup_at_all_and_with_every_answer_unknown(tmp_path: Path):
    ran = partsdb("", tmp_path / "new.db", typed="25 MFD 440 VAC\n?\n?\n?\n?\n?\n", columns=60)
    assert ran.code == 0, ran.err
    assert _numbered(ran.out) == ["1", "2", "3", "4"]
    assert "25 µF" in ran.out


def test_each_answer_is_kept_and_a_broken_conversation_goes_on(shop: Path):
    broken = partsdb("", shop, typed="2? MFD; 440 VAC 60 CY\n2\nh\n")
    assert broken.code == 130
    assert "kept" in broken.err
    taken_up = partsdb("", shop, typed="y\n?\np\n?\n")
    assert taken_up.code == 0, taken_up.err
    assert "Which machine" not in taken_up.out
    with open_store(shop, now=_now()) as store:
        kept = [i for i in store.all(Inquiry) if "asked" in i.answers]
    assert len(kept) == 1
    assert kept[0].answers["doing"] == "hums"
    assert kept[0].answers["starting"] == "plain"
    assert kept[0].machine_id


def test_the_places_of_a_machine_are_offered_by_name(shop: Path):
    ran = partsdb("", shop, typed="25 MFD; 440 VAC 60 CY\n?\n?\n?\n?\n?\n")
    assert "1 strander, main contactor" in ran.out
    assert "2 strander, run capacitor" in ran.out


def test_an_answer_off_the_list_is_asked_again(shop: Path):
    ran = partsdb("", shop, typed="25 MFD; 440 VAC 60 CY\n77\n2\nq\nd\n?\np\nlater\n?\n")
    assert ran.code == 0, ran.err
    assert "not on the list" in ran.out
    assert "not one of the keys" in ran.out


def test_nothing_legible_leads_to_the_kind_and_one_measurement(tmp_path: Path):
    typed = "don't know\nbearing\n30\n?\n?\n?\n?\n?\n"
    ran = partsdb("", tmp_path / "new.db", typed=typed)
    assert ran.code == 0, ran.err
    assert "How: calipers inside the bore" in ran.out
    assert re.search(r"^1 It is: rolling bearing", ran.out, flags=re.MULTILINE)


@pytest.mark.parametrize("said", ["?", "", "don't know", "Don’t know", "no idea"])
def test_dont_know_is_an_answer_to_every_question(said: str, shop: Path):
    ran = partsdb("", shop, typed=f"25 MFD; 440 VAC 60 CY\n{said}\n{said}\n{said}\n{said}\n{said}\n")
    assert ran.code == 0, ran.err
    assert "not one of the keys" not in ran.out
    assert "not on the list" not in ran.out
    assert "That points at" not in ran.out


def test_it_asks_to_measure_only_what_a_tool_measures(tmp_path: Path):
    ran = partsdb("", tmp_path / "new.db", typed="NU 20?\n?\n?\n?\n?\n")
    assert "How: clean the plate" not in ran.out
    assert re.search(r"Can you measure the .*\? How: (calipers|a|ohmmeter)", ran.out.replace("\n", " "))


def test_nothing_is_asked_of_a_supplier_while_what_it_was_is_a_guess(tmp_path: Path):
    guess = partsdb("", tmp_path / "a.db", typed="NU 20?\n?\n?\n?\n?\n").out.replace("\n  ", " ")
    assert "3 Don't order yet" in guess
    sure = partsdb("", tmp_path / "b.db", typed="NU 206\n?\n?\n?\n?\n").out.replace("\n  ", " ")
    assert "3 Ask a supplier for: type: cylindrical roller" in sure


def test_a_supplier_is_not_asked_for_just_any_value(tmp_path: Path):
    ran = partsdb("", tmp_path / "new.db", typed="25 MFD\n?\n?\n?\n?\n")
    assert "Ask a supplier for" in ran.out
    assert ": any" not in ran.out


@pytest.mark.parametrize("typed", ["?\n?\n", "\n\n"])
def test_with_nothing_at_all_it_says_what_to_do(typed, tmp_path: Path):
    ran = partsdb("", tmp_path / "new.db", typed=typed)
    assert ran.code == 2
    assert ran.err.count("\n") == 1


def _now():
    from datetime import datetime

    return datetime.fromisoformat(NOW)
