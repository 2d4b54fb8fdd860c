"""Where a list comes from: a file, or an address from which it is fetched when it has changed."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from typing import IO, TYPE_CHECKING
from urllib.parse import urlsplit

from partsdb.errors import BadInput
from partsdb.importers import Layout, layout_from_toml
from partsdb.importers.mending import mend_name, source_of
from partsdb.store import Store

if TYPE_CHECKING:
    from partsdb.importers.fetching import Fetcher

_ADDRESS = re.compile(r"[a-z][a-z0-9+.-]*://", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a person wants brought in. what: the subject; origin: file or address; supplier: whose list it is, where
    the rows don't say; strict: all rows or none; dry_run: only show."""

    what: str
    origin: str
    layout: Layout = field(default_factory=Layout)
    supplier: str = ""
    strict: bool = False
    dry_run: bool = False


@dataclass(frozen=True, slots=True)
class Arrived:
    """A list that is here. name: as findings call it; stream: None when nothing is new since it last came; folder:
    where its layout and its rows to be mended go; key: under which `etag` and `modified` are kept, "" for a file."""

    name: str
    stream: IO[bytes] | None
    folder: Path
    key: str = ""
    etag: str = ""
    modified: str = ""

    @property
    def layout_file(self) -> Path:
        """The file beside the list that says what its columns are."""
        return layout_file(self.name, self.folder)

    @property
    def mend_file(self) -> Path:
        """Where its bad rows go."""
        return self.folder / mend_name(self.name)


def layout_file(name: str, folder: Path) -> Path:
    """Where the layout of that list is looked for when no other is named."""
    return folder / f"{source_of(name)}.layout.toml"


def asked(
    what: str,
    origin: str,
    *,
    mapping: Path | None = None,
    full: bool = False,
    supplier: str = "",
    strict: bool = False,
    dry_run: bool = False,
) -> Asked:
    """The request, with the layout of the file named, or else of the file kept beside the list.

    Raises BadInput when the layout can't be read, or a few mended rows are called a complete list.
    """
    name, folder = _called(origin)
    found = layout_file(name, folder)
    chosen = mapping or (found if found.is_file() else None)
    layout = Layout()
    if chosen is not None:
        try:
            layout = layout_from_toml(chosen.read_text(encoding="utf-8"), chosen.name)
        except (OSError, UnicodeDecodeError) as fault:
            raise BadInput(f"{chosen} can't be read", "Give a TOML file in UTF-8") from fault
    part_only = mend_name(name) == name
    if full and part_only:
        raise BadInput(f"{name} holds only rows that were mended", "Leave out --full")
    return Asked(
        what, origin, replace(layout, full=(layout.full or full) and not part_only), supplier, strict, dry_run
    )


def _called(origin: str) -> tuple[str, Path]:
    """What the list is called, and the folder in which files about it are."""
    if _ADDRESS.match(origin):
        return name_of(origin), Path()
    file = Path(origin)
    return file.name, file.parent


def name_of(address: str) -> str:
    """A name for the list at an address that can be a file's name: no folders, no query, where keys often hide.

    >>> name_of("https://lists.supplier-one.example/v1.2/prices.csv?key=1")
    'lists-supplier-one-example_v1-2_prices.csv'
    >>> name_of("https://supplier.example/..")
    'supplier-example'
    """
    try:
        parts = urlsplit(address)
        host = parts.hostname or "list"
    except ValueError:
        return "list"
    path, dot, suffix = parts.path.rpartition(".")
    if not dot or not suffix.isalnum() or len(suffix) > 5:
        path, suffix = parts.path, ""
    stem = re.sub(r"[^\w-]+", "_", host.replace(".", "-") + path.replace(".", "-")).strip("_-")[:100]
    return f"{stem}.{suffix}" if suffix else stem


def arrive(store: Store, wish: Asked, fetcher: Fetcher | None = None) -> Arrived:
    """The list, opened; the caller closes its stream.

    Raises BadInput for a file that can't be read or an unsafe address, NetworkTrouble when it doesn't come.
    """
    name, folder = _called(wish.origin)
    if _ADDRESS.match(wish.origin):
        return _fetched(store, wish, name, folder, fetcher)
    try:
        stream = Path(wish.origin).open("rb")  # noqa: SIM115 - handed to the caller, who closes it
    except (OSError, ValueError) as fault:
        reason = (getattr(fault, "strerror", "") or "it can't be read").lower()
        raise BadInput(f"{wish.origin}: {reason}", "Give a file that can be read") from fault
    if not stream.seekable():
        stream.close()
        raise BadInput(f"{wish.origin} is a pipe, not a file", "Save the list as a file first")
    return Arrived(name, stream, folder)


def _fetched(store: Store, wish: Asked, name: str, folder: Path, fetcher: Fetcher | None) -> Arrived:
    from partsdb.importers.addresses import checked, shown
    from partsdb.importers.fetching import Fetcher, Mark

    address = checked(wish.origin)
    # an address may hold a key, and one list may be read in several ways: what is stored tells neither
    said = repr((address, wish.what, wish.supplier, wish.layout))
    key = f"{shown(address)}#{sha256(said.encode()).hexdigest()[:16]}"
    mark = Mark(*store.fetched(key))
    if fetcher is not None:
        came = fetcher.fetch(address, mark)
    else:
        import httpx

        with httpx.Client() as client:
            came = Fetcher(client).fetch(address, mark)
    return Arrived(name, came.stream, folder, key, came.mark.etag, came.mark.modified)
