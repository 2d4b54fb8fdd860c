"""Lists brought in: while rows are read and described, other programs may write."""

from __future__ import annotations

from pathlib import Path

from partsdb.records import Machine, Offer, Part
from partsdb.services import bringing
from partsdb.services.arriving import asked
from partsdb.store import open_store
from support import stored

OFFERS = "designation,description,price\n" + "".join(
    f"ZQ {i},V-belt B {60 + i},{10 + i}.00\n" for i in range(4)
)


def test_no_write_lock_is_held_while_rows_are_being_described(tmp_path: Path, monkeypatch) -> None:
    """A second connection that won't wait writes from within the slow description reader."""
    (tmp_path / "offers.csv").write_text(OFFERS, encoding="utf-8")
    slow_reader, written = bringing.described, []
    with stored.opened(tmp_path) as store:
        store.put(stored.plain_supplier())

        def described_while_another_writes(family, designation, description=""):
            spec = slow_reader(family, designation, description)
            with open_store(store.path, now=stored.NOW, wait=0.0) as other:
                other.put(Machine(f"m{len(written)}", f"Winder {len(written)}"))
            written.append(spec)
            return spec

        monkeypatch.setattr(bringing, "described", described_while_another_writes)
        wish = asked("offers", str(tmp_path / "offers.csv"), supplier=stored.plain_supplier().name)
        done = bringing.bring(store, wish, stored.NOW)
        assert len(written) == 4
        assert store.count(Machine) == 4
        assert (done.brought.new, done.findings) == (8, ())
        assert (store.count(Offer), store.count(Part)) == (4, 4)
