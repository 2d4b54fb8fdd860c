"""The layout file: what it may say and what it is told when it says something else."""

from __future__ import annotations

import pytest

from partsdb.errors import BadInput
from partsdb.families.ac_capacitor import FAMILY
from partsdb.importers import Layout, layout_from_toml
from partsdb.importers.layout import carried


def test_an_empty_layout_says_nothing() -> None:
    assert layout_from_toml("") == Layout()


def test_a_layout_states_columns_fixed_values_and_form() -> None:
    layout = layout_from_toml(
        '[columns]\n"Art.-Nr.:" = "designation"\n[fixed]\ncurrency = "EUR"\n'
        '[format]\ndelimiter = ";"\ndecimal = ","\nfull = true\n'
    )
    assert layout.columns == {"art.-nr.": "designation"}
    assert layout.fixed == {"currency": "EUR"}
    assert (layout.delimiter, layout.decimal, layout.full) == (";", ",", True)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[columns", "not TOML"),
        ('[colums]\n"a" = "b"\n', "'colums'"),
        ('[format]\nquote = "\'"\n', "'quote'"),
        ("[columns]\na = 3\n", "no text"),
        ('[format]\ndecimal = "·"\n', "decimal is"),
        ('[format]\ndelimiter = ";;"\n', "one character"),
    ],
)
def test_what_a_layout_cant_say_is_refused(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        layout_from_toml(text)


def test_a_letter_alone_is_a_unit_only_as_its_symbol() -> None:
    def read(header: str) -> list[tuple[str, str]]:
        return [(c.attribute.name, c.unit) for c in carried((header,), FAMILY, Layout())]

    assert read("C") == []  # cycles on old plates, capacitance in most lists: nobody can tell
    assert read("Hz") == [("frequency", "Hz")]
    assert read("C (µF)") == [("capacitance", "µF")]
