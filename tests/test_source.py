import pytest

from partsdb import source
from partsdb.source import Source, Status
from partsdb.tables import load


@pytest.mark.parametrize("status", Status.__args__)  # type: ignore[attr-defined]  # Literal's words
def test_a_printed_source_reads_back_whatever_its_status(status: Status) -> None:
    original = Source("ISO 281:2007 (equation 5), clause 6.3", status)
    assert source.parse(str(original)) == original


def test_a_text_that_is_no_printed_source_is_taken_as_stated() -> None:
    assert source.parse("the old fitter (retired)") == Source("the old fitter (retired)", "stated")


def test_where_a_value_came_from_is_told_by_its_maker() -> None:
    assert source.plate("440 VAC") == Source("plate: 440 VAC", "stated")
    assert source.measured("calipers").status == "measured"
    assert source.said().citation == "stated by you"
    assert source.file_row("offers.csv", 12).citation == "offers.csv:12"
    assert source.judgement("half the slack is kept").status == "judgement"


def test_a_row_s_own_status_goes_before_its_table_s() -> None:
    table = load("units")
    assert table.source_of({"unit": "V"}).status == table.source.status
    assert table.source_of({"unit": "V", "status": "from memory"}).status == "from memory"
