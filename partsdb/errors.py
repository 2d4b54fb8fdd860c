"""Everything that can go wrong, by what the person can do about it.

    PartsError                 one clear line; the command ends with code 2 and nothing is changed
    ├── BadInput               what was typed can't be understood: type it differently
    │   └── BadText            ... and says the place in the text
    ├── NotFound               the thing named is not in the records: look at the list, or add it
    ├── BadData                a file has faulty rows: mend them (carries every Finding)
    ├── StoreTrouble           the database can't be used: locked, read-only, full, damaged, too new
    │   └── Overtaken          ... another program wrote between our look and our writing: do it again
    └── NetworkTrouble         a supplier's list can't be fetched: try again, or use the file

A part that doesn't fit and a deadline that can't be met are answers, not errors.
"""

from __future__ import annotations

from dataclasses import dataclass


class PartsError(Exception):
    """Base of all errors meant for a person. `what` is wrong, `do` is the way out."""

    def __init__(self, what: str, do: str = "") -> None:
        super().__init__(what, do)
        self.what = what
        self.do = do

    def __str__(self) -> str:
        return f"{self.what}. {self.do}" if self.do else self.what


class BadInput(PartsError):
    """What was typed can't be understood."""


class BadText(BadInput):
    """A text that can't be read, with the place of the fault.

    `start` and `end` are indices into `text`; the fault has at least one glyph.
    """

    def __init__(self, what: str, text: str, start: int, end: int, do: str = "") -> None:
        super().__init__(what, do)
        self.args = (what, text, start, end, do)  # what pickling calls the class with
        self.text = text
        self.start = start
        self.end = max(end, start + 1)

    def __str__(self) -> str:
        place = f"at {self.text[self.start : self.end]!r}" if self.start < len(self.text) else "at the end"
        return f"{self.what} {place} in {self.text!r}" + (f". {self.do}" if self.do else "")


class NotFound(PartsError):
    """The thing named is not in the records."""


class StoreTrouble(PartsError):
    """The database can't be used as it is."""


class Overtaken(StoreTrouble):
    """Another program wrote while this one was about to; nothing was changed, and the same may be tried again."""


class NetworkTrouble(PartsError):
    """Something outside this computer did not answer as it should."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A fault in somebody's data: reported with all the others, never raised one by one.

    where: file and row ("offers.csv:12"); column: header name or "";
    found: the text as it stands; expected: what would be right.
    """

    where: str
    column: str
    found: str
    expected: str

    def __str__(self) -> str:
        column = f", {self.column}" if self.column else ""
        return f"{self.where}{column}: found {self.found!r}, expected {self.expected}"


class BadData(PartsError):
    """A source has faulty rows; every one of them is in `findings`."""

    def __init__(self, what: str, findings: tuple[Finding, ...], do: str = "") -> None:
        super().__init__(what, do)
        self.args = (what, findings, do)
        self.findings = findings
