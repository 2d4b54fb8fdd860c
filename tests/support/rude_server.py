"""A real HTTP server on this computer that misbehaves exactly as it is told."""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

Answer = Sequence[bytes | float]
"""What is sent, piece by piece; a number is a pause in seconds. Then the connection is closed."""


def ok(body: bytes, *headers: str, length: int | None = None) -> Answer:
    """A plain 200 with that body; `length` states another length than the body has."""
    return answer(200, body, *headers, length=length)


def answer(code: int, body: bytes = b"", *headers: str, length: int | None = None) -> Answer:
    """An answer with that status."""
    lines = [
        f"HTTP/1.1 {code} x",
        f"Content-Length: {len(body) if length is None else length}",
        "Connection: close",
    ]
    return ["\r\n".join([*lines, *headers, "", ""]).encode() + body]


@dataclass
class RudeServer:
    """Answers each path with its answers in turn, the last one for ever. requests: (path, headers) as they came."""

    answers: dict[str, list[Answer]] = field(default_factory=dict)
    requests: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    port: int = 0

    @property
    def address(self) -> str:
        """Where it is."""
        return f"http://127.0.0.1:{self.port}"

    def serve(self, path: str, *answers: Answer) -> str:
        """Sets the answers of a path; returns its address."""
        self.answers[path] = list(answers)
        return self.address + path

    def handle(self, connection: socket.socket) -> None:
        """One request, one answer."""
        with contextlib.suppress(OSError), connection:
            raw = b""
            while b"\r\n\r\n" not in raw:
                block = connection.recv(65_536)
                if not block:
                    return
                raw += block
            first, *lines = raw.decode("latin-1").split("\r\n\r\n")[0].split("\r\n")
            path = first.split(" ")[1]
            headers = {
                name.lower(): value.strip() for name, _, value in (line.partition(":") for line in lines)
            }
            self.requests.append((path, headers))
            some = self.answers.get(path) or [answer(404)]
            for piece in some[0] if len(some) == 1 else some.pop(0):
                if isinstance(piece, bytes):
                    connection.sendall(piece)
                else:
                    time.sleep(piece)


@contextlib.contextmanager
def rude_server() -> Iterator[RudeServer]:
    """The server, running until the block ends."""
    server = RudeServer()
    with socket.create_server(("127.0.0.1", 0)) as listener:
        server.port = listener.getsockname()[1]
        listener.settimeout(0.05)
        ended = threading.Event()

        def accept() -> None:
            while not ended.is_set():
                with contextlib.suppress(TimeoutError):
                    connection, _ = listener.accept()
                    connection.settimeout(5)
                    threading.Thread(target=server.handle, args=(connection,), daemon=True).start()

        thread = threading.Thread(target=accept)
        thread.start()
        try:
            yield server
        finally:
            ended.set()
            thread.join()
