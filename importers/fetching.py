"""A supplier's list from the network: fetched whole or not at all, however the server behaves.

Only GET, so that asking again is harmless. What is asked again: broken connections, 429 and 5xx, with growing,
random pauses, or the pause the server asks for. Bounded: the time of each step and of the whole, bytes before and
after unpacking, redirects, pages. A list that comes in pages (Link: rel="next") is put together.
"""

from __future__ import annotations

import contextlib
import random
import tempfile
import time
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from typing import IO
from urllib.parse import urlsplit

import httpx

from partsdb.errors import NetworkTrouble
from partsdb.importers.addresses import (
    SERVICE,
    KeyringShut,
    checked,
    followed,
    opening,
    same_place,
    shown,
    variable,
)
from partsdb.importers.pages import joined

MEGABYTE = 1_000_000
_AGAIN = frozenset((408, 425, 429, 500, 502, 503, 504))
_ELSEWHERE = frozenset((301, 302, 303, 307, 308))


@dataclass(frozen=True, slots=True)
class Bounds:
    """How far a fetch may go: seconds for each step and for all, bytes, attempts, redirects, pages."""

    connect: float = 10.0
    read: float = 30.0
    total: float = 600.0
    largest: int = 300 * MEGABYTE
    attempts: int = 4
    longest_pause: float = 60.0
    redirects: int = 5
    pages: int = 1000


@dataclass(frozen=True, slots=True)
class Mark:
    """What the server said of the version it sent. Keep it once the list is safely in, and ask with it next time."""

    etag: str = ""
    modified: str = ""


@dataclass(frozen=True, slots=True)
class Fetched:
    """A list that has come. stream: None when the server says that nothing has changed since `mark`."""

    name: str
    stream: IO[bytes] | None
    mark: Mark
    charset: str = ""


@dataclass(slots=True)
class Fetcher:
    """Fetches lists. `pause`, `chance`, `clock` and `now` are arguments so that tests need no patience."""

    client: httpx.Client
    bounds: Bounds = field(default_factory=Bounds)
    pause: Callable[[float], None] = time.sleep
    chance: Callable[[], float] = random.random
    clock: Callable[[], float] = time.monotonic
    now: Callable[[], datetime] = lambda: datetime.now(UTC)
    opens: Callable[[str], str | None] = opening
    _key: str | None = field(default=None, init=False, repr=False)
    _shut: str = field(default="", init=False, repr=False)

    def fetch(self, address: str, mark: Mark | None = None) -> Fetched:
        """The list at that address. Raises BadInput for an unsafe address, NetworkTrouble when it doesn't come."""
        start = address = checked(address)
        self._look_for_key(urlsplit(start).hostname or "")
        deadline = self.clock() + self.bounds.total
        with _room_for(start), contextlib.ExitStack() as open_pages:
            pages: list[_Page] = []
            asked: set[str] = set()
            while address:
                if address in asked or len(asked) >= self.bounds.pages:
                    raise NetworkTrouble(f"the pages of {shown(start)} never end", _LATER)
                asked.add(address)
                page = self._page(start, address, None if pages else mark, deadline)
                if page.body is None:
                    return Fetched(_name(start), None, mark or Mark())
                open_pages.callback(page.body.close)
                pages.append(page)
                address = page.next
            whole = joined([page.body for page in pages if page.body is not None])
            open_pages.pop_all()
        return Fetched(_name(start), whole, pages[0].mark, pages[0].charset)

    def _look_for_key(self, host: str) -> None:
        """Once for all pages and attempts: a keyring may ask the person each time."""
        self._key, self._shut = None, ""
        try:
            self._key = self.opens(host)
        except KeyringShut as fault:
            self._shut = str(fault)

    def _page(self, start: str, address: str, mark: Mark | None, deadline: float) -> _Page:
        """One page, asked for as often as it may take."""
        for attempt in range(1, self.bounds.attempts + 1):
            wait = 0.0
            try:
                found = self._ask(start, address, mark, deadline)
                if isinstance(found, _Page):
                    return found
                trouble, wait = found.trouble, found.wait
            except httpx.TransportError as fault:
                trouble = _connection_trouble(address, fault)
            except zlib.error:
                trouble = NetworkTrouble(f"{shown(address)} sends packed data that can't be unpacked", _LATER)
            pause = max(wait, self.chance() * min(2.0**attempt, self.bounds.longest_pause))
            if attempt == self.bounds.attempts or wait > self.bounds.longest_pause:
                raise trouble
            if self.clock() + pause > deadline:
                raise trouble
            self.pause(pause)
        raise AssertionError("unreachable")

    def _ask(self, start: str, address: str, mark: Mark | None, deadline: float) -> _Page | _Refusal:
        """Asks once, following redirects."""
        times = httpx.Timeout(self.bounds.read, connect=self.bounds.connect)
        for _ in range(self.bounds.redirects + 1):
            headers = self._headers(start, address, mark)
            with self.client.stream(
                "GET", address, headers=headers, follow_redirects=False, timeout=times
            ) as answer:
                if answer.status_code in _ELSEWHERE and "location" in answer.headers:
                    address = followed(address, answer.headers["location"])
                    continue
                if answer.status_code == 304 and mark is not None:
                    return _Page(None, Mark(), "", "")
                if answer.status_code in _AGAIN:
                    return _Refusal(self._refused(address, answer), self._asked_to_wait(answer))
                if answer.status_code != 200:
                    raise self._refused(address, answer)
                return self._received(address, answer, deadline)
        raise NetworkTrouble(
            f"{shown(start)} sends us round in circles", "Ask the supplier for the right address"
        )

    def _headers(self, start: str, address: str, mark: Mark | None) -> dict[str, str]:
        headers = {"Accept-Encoding": "gzip", "User-Agent": "partsdb"}
        if mark is not None and mark.etag:
            headers["If-None-Match"] = mark.etag
        if mark is not None and mark.modified:
            headers["If-Modified-Since"] = mark.modified
        if self._key is not None and same_place(start, address):
            headers["Authorization"] = self._key
        return headers

    def _asked_to_wait(self, answer: httpx.Response) -> float:
        """The seconds that Retry-After asks for, in either of its forms; 0 when it doesn't."""
        said = answer.headers.get("retry-after", "").strip()
        if said.isdecimal():
            return float(said)
        try:
            return max(0.0, (parsedate_to_datetime(said) - self.now()).total_seconds())
        except (ValueError, TypeError):
            return 0.0

    def _received(self, address: str, answer: httpx.Response, deadline: float) -> _Page:
        """The body, unpacked, in a file of its own."""
        said = answer.headers.get("content-length", "")
        if said.isdecimal() and int(said) > self.bounds.largest:
            raise self._too_large(address)
        onward = answer.links.get("next", {}).get("url", "")
        onward = followed(address, onward) if onward else ""
        body = tempfile.TemporaryFile()  # noqa: SIM115 - handed to the caller, who closes it
        try:
            self._copy(address, answer, body, deadline)
            _refuse_web_page(address, body)
        except BaseException:
            body.close()
            raise
        return _Page(
            body,
            Mark(answer.headers.get("etag", ""), answer.headers.get("last-modified", "")),
            answer.charset_encoding or "",
            onward,
        )

    def _copy(self, address: str, answer: httpx.Response, body: IO[bytes], deadline: float) -> None:
        """The body into the file, which is left at its start; never more than the bounds allow."""
        size = 0
        for block in _unpacked(answer):
            size += len(block)
            if size > self.bounds.largest:
                raise self._too_large(address)
            if self.clock() > deadline:
                raise NetworkTrouble(f"{shown(address)} took longer than {self.bounds.total:.0f} s", _LATER)
            body.write(block)
        body.seek(0)

    def _refused(self, address: str, answer: httpx.Response) -> NetworkTrouble:
        code = answer.status_code
        if code in (401, 403):
            host = urlsplit(address).hostname or ""
            do = f"Set {variable(host)}, or type: keyring set {SERVICE} {host}"
            return NetworkTrouble(
                f"{shown(address)} doesn't let us in ({code})",
                f"{self._shut}; or s{do[1:]}" if self._shut else do,
            )
        if code in (404, 410):
            return NetworkTrouble(
                f"there is no list at {shown(address)} ({code})", "Ask the supplier for its address"
            )
        if code == 429:
            return NetworkTrouble(f"{shown(address)} asks us to come less often", _LATER)
        return NetworkTrouble(f"{shown(address)} answers {code}", _LATER)

    def _too_large(self, address: str) -> NetworkTrouble:
        limit = self.bounds.largest // MEGABYTE
        return NetworkTrouble(f"{shown(address)} sends more than {limit} MB", "Ask for a smaller list")


@dataclass(frozen=True, slots=True)
class _Page:
    body: IO[bytes] | None
    mark: Mark
    charset: str
    next: str


@dataclass(frozen=True, slots=True)
class _Refusal:
    trouble: NetworkTrouble
    wait: float


_ROOM = "Make room in the folder for temporary files, or name another with TMPDIR"
_LATER = "Try again later, or import the list from a file"
_STEP = 1 << 20


@contextlib.contextmanager
def _room_for(address: str) -> Iterator[None]:
    """Says it in one line when the pages can't be kept while they are read."""
    try:
        yield
    except OSError as fault:
        reason = (fault.strerror or "the disk fails").lower()
        raise NetworkTrouble(f"{shown(address)} can't be kept while it is read: {reason}", _ROOM) from fault


def _unpacked(answer: httpx.Response) -> Iterator[bytes]:
    """The body, at most a megabyte at a time, however small the packed data that makes it."""
    packing = answer.headers.get("content-encoding", "identity").strip().lower()
    if packing in ("", "identity"):
        yield from answer.iter_raw()
        return
    if packing not in ("gzip", "x-gzip", "deflate"):
        raise NetworkTrouble(
            f"the server packs its list as {packing[:40]!r}, which was not asked for", _LATER
        )
    unpack = zlib.decompressobj(wbits=zlib.MAX_WBITS | 32)
    for block in answer.iter_raw():
        rest = block
        while rest and not unpack.eof:
            yield unpack.decompress(rest, _STEP)
            rest = unpack.unconsumed_tail
    if not unpack.eof:
        raise zlib.error("the packed data break off")


def _connection_trouble(address: str, fault: httpx.TransportError) -> NetworkTrouble:
    if isinstance(fault, httpx.TimeoutException):
        return NetworkTrouble(f"{shown(address)} doesn't answer in time", _LATER)
    if isinstance(fault, httpx.ConnectError):
        return NetworkTrouble(
            f"there is no connection to {shown(address)}", "Check the network and the address"
        )
    return NetworkTrouble(f"the connection to {shown(address)} broke off", _LATER)


def _refuse_web_page(address: str, body: IO[bytes]) -> None:
    head = body.read(200).lstrip().lower()
    body.seek(0)
    if head.startswith((b"<!doctype html", b"<html")):
        raise NetworkTrouble(
            f"{shown(address)} sends a web page, not a list", "Perhaps it wants a sign-in; check the address"
        )


def _name(address: str) -> str:
    """What findings call the list: the last piece of the path, or the host. Never used as a file name."""
    parts = urlsplit(address)
    piece = parts.path.rstrip("/").rpartition("/")[2]
    return "".join(c for c in piece if c.isprintable())[:80] or (parts.hostname or "list")
