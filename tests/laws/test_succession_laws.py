"""Laws of the history of numbers: whatever lists come in, in whatever order, the records hold no new circle."""

from __future__ import annotations

import tempfile
from datetime import timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.errors import BadData
from partsdb.lineage import circles
from partsdb.records import Succession
from partsdb.services.arriving import asked
from partsdb.services.bringing import bring
from partsdb.store import Store
from support import stored

NAMES = st.sampled_from(["A1", "a-1", "B2", "C3"])
MAKERS = st.sampled_from(["", "T", "U"])
NUMBERS = st.tuples(st.just("superseded by"), MAKERS, NAMES, MAKERS, NAMES)
BECAME = st.tuples(st.just("maker became"), MAKERS, st.just(""), MAKERS, st.just(""))
BAD = st.tuples(st.just("nonsense"), MAKERS, NAMES, MAKERS, NAMES)
SAME = st.tuples(st.just("same as"), MAKERS, NAMES, MAKERS, NAMES)
ROWS = st.lists(st.one_of(NUMBERS, NUMBERS, BECAME, SAME, BAD), min_size=1, max_size=5)
LISTS = st.lists(
    st.tuples(st.sampled_from(["one.csv", "two.csv"]), st.booleans(), ROWS), min_size=1, max_size=4
)


def come_in(store: Store, folder: Path, lists: list[tuple[str, bool, list[tuple[str, ...]]]]) -> None:
    """The lists, one after the other; a refused one changes nothing."""
    for day, (name, full, rows) in enumerate(lists):
        text = "\n".join(",".join(row) for row in rows)
        (folder / name).write_text(f"relation,old maker,old number,new maker,new number\n{text}\n")
        before = store.version()
        try:
            done = bring(
                store, asked("successions", str(folder / name), full=full), stored.NOW + timedelta(days=day)
            )
        except BadData:
            assert store.version() == before
            continue
        if done.brought.again:
            continue
        assert done.read == len(rows)
        assert done.brought.new + done.brought.changed + done.brought.same + len(
            {finding.where for finding in done.findings}
        ) == len(rows)


@settings(max_examples=25, deadline=None)
@given(LISTS)
def test_after_any_lists_the_records_hold_no_circle(
    lists: list[tuple[str, bool, list[tuple[str, ...]]]],
) -> None:
    with tempfile.TemporaryDirectory() as name, stored.opened(Path(name)) as store:
        come_in(store, Path(name), lists)
        assert circles(store.all(Succession)) == ()


@settings(max_examples=10, deadline=None)
@given(LISTS)
def test_the_circle_of_an_old_database_stays_named_and_no_other_joins_it(
    lists: list[tuple[str, bool, list[tuple[str, ...]]]],
) -> None:
    old = (
        Succession("old1", "superseded by", "", "Y1", "", "Z2"),
        Succession("old2", "superseded by", "", "Z2", "", "Y1"),
    )
    with tempfile.TemporaryDirectory() as name, stored.opened(Path(name)) as store:
        store.put(*old)
        come_in(store, Path(name), lists)
        assert circles(store.all(Succession)) == (("Y1", "Z2"),)
