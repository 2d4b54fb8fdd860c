import pickle

import pytest

from partsdb import errors
from partsdb.errors import (
    BadData,
    BadInput,
    BadText,
    Finding,
    NetworkTrouble,
    NotFound,
    PartsError,
    StoreTrouble,
)


def test_every_error_is_one_the_person_can_be_told() -> None:
    for name in ("BadInput", "BadText", "NotFound", "BadData", "StoreTrouble", "NetworkTrouble"):
        assert issubclass(getattr(errors, name), PartsError)
        assert name in (errors.__doc__ or "")
    assert issubclass(BadText, BadInput)


def test_an_error_says_what_is_wrong_and_then_what_to_do() -> None:
    assert str(PartsError("the list is empty", "Add a part")) == "the list is empty. Add a part"
    assert str(PartsError("the list is empty")) == "the list is empty"


@pytest.mark.parametrize(("start", "end", "behind"), [(0, 1, 1), (3, 6, 6), (6, 6, 7), (5, 2, 6)])
def test_the_place_of_a_fault_is_never_empty(start: int, end: int, behind: int) -> None:
    fault = BadText("bad", "25 MFX", start, end)
    assert (fault.start, fault.end) == (start, behind)


def test_a_fault_behind_the_text_is_at_the_end() -> None:
    assert "at the end" in str(BadText("unit missing", "25", 2, 2))
    assert "at 'X'" in str(BadText("unit missing", "25X", 2, 3))


def test_a_finding_says_where_what_and_what_would_be_right() -> None:
    found = Finding("offers.csv:12", "price", "12,5o", "an amount like 12.50")
    assert str(found) == "offers.csv:12, price: found '12,5o', expected an amount like 12.50"
    assert str(Finding("offers.csv:1", "", "x", "a header row")).startswith("offers.csv:1: found")


def test_bad_data_carries_every_finding() -> None:
    findings = tuple(Finding(f"a.csv:{n}", "", "x", "y") for n in range(3))
    assert BadData("three rows are faulty", findings).findings == findings


@pytest.mark.parametrize("kind", [PartsError, BadInput, NotFound, StoreTrouble, NetworkTrouble])
def test_plain_errors_survive_a_process_boundary(kind: type[PartsError]) -> None:
    copy = pickle.loads(pickle.dumps(kind("what", "do")))
    assert type(copy) is kind
    assert str(copy) == "what. do"


def test_errors_survive_being_sent_between_processes():
    import pickle

    for error in (
        BadInput("a", "b"),
        BadText("a", "25 MFD", 3, 5, "b"),
        BadData("a", (Finding("f:1", "c", "x", "y"),), "b"),
    ):
        again = pickle.loads(pickle.dumps(error))
        assert str(again) == str(error)
        assert type(again) is type(error)
