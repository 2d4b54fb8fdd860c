"""What opens a supplier's list, kept in the system's keyring: the real package, backends that write a real file."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import keyring
import keyring.backend
import keyring.backends.fail
import pytest
from keyring.errors import KeyringLocked
from keyrings.alt.file import PlaintextKeyring

from partsdb.errors import BadInput
from partsdb.importers.addresses import SERVICE, KeyringShut, opening
from support import stored
from support.commands import Ran, partsdb
from support.rude_server import RudeServer, answer, ok, rude_server

HOST, VARIABLE = "127.0.0.1", "PARTSDB_KEY_127_0_0_1"
SECRET = "s3cret-from-the-drawer"
HEADER = "supplier,kind,designation,price,capacitance,voltage_ac,service\n"
LIST = (HEADER + "Oskarby Supplies,ac_capacitor,AE-31,15.00,31 µF,450 V,run\n").encode()
BAD = (HEADER + "Oskarby Supplies,ac_capacitor,AE-32,nonsense,31 µF,450 V,run\n").encode()


class Locked(PlaintextKeyring):
    """Holds its file, and isn't opened: what a desktop's wallet does when the person closes its window."""

    asked = 0

    def get_password(self, service: str, username: str) -> str | None:
        Locked.asked += 1
        raise KeyringLocked(f"Failed to unlock the collection with {SECRET}!")


@pytest.fixture(autouse=True)
def alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """No key in the environment, no settings of this computer's keyring; the one in use is put back."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv(VARIABLE, raising=False)
    monkeypatch.setenv("NO_PROXY", HOST)
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))
    monkeypatch.setattr("keyring.core._keyring_backend", None)
    Locked.asked = 0
    yield


@pytest.fixture
def server() -> Iterator[RudeServer]:
    with rude_server() as running:
        yield running


@pytest.fixture
def drawer(tmp_path: Path) -> PlaintextKeyring:
    """A keyring in a file of this test, in use."""
    return use(PlaintextKeyring(), tmp_path)


def use(backend: PlaintextKeyring, folder: Path) -> PlaintextKeyring:
    backend.file_path = str(folder / "keyring.cfg")
    keyring.set_keyring(backend)
    return backend


@pytest.fixture
def db(tmp_path: Path) -> Path:
    with stored.opened(tmp_path) as store:
        store.put(stored.plain_supplier(name="Oskarby Supplies"))
        return store.path


def fetch(db: Path, address: str) -> Ran:
    return partsdb(f"import offers {address}", db)


def keys(server: RudeServer) -> list[str | None]:
    """What was sent to open the server, one a request."""
    return [headers.get("authorization") for _, headers in server.requests]


def test_what_the_keyring_holds_opens_its_host(server, drawer, db):
    keyring.set_password(SERVICE, HOST, SECRET)
    ran = fetch(db, server.serve("/p.csv", ok(LIST)))
    assert (ran.code, ran.err) == (0, "")
    assert "2 new" in ran.out
    assert keys(server) == [f"Bearer {SECRET}"]


def test_a_name_and_password_in_the_keyring_are_sent_as_such(drawer):
    keyring.set_password(SERVICE, HOST, "me:sesame")
    assert opening(HOST, {}) == "Basic bWU6c2VzYW1l"  # RFC 7617: base64 of name:password


def test_what_is_kept_for_another_host_or_program_is_sent_nowhere(server, drawer, db):
    keyring.set_password(SERVICE, "localhost", SECRET)
    keyring.set_password("mail", HOST, SECRET)
    assert fetch(db, server.serve("/p.csv", ok(LIST))).code == 0
    assert keys(server) == [None]


def test_it_doesnt_follow_to_another_place(server, drawer, db):
    keyring.set_password(SERVICE, HOST, SECRET)
    with rude_server() as other:
        other.serve("/p.csv", ok(LIST))
        server.serve("/far", answer(302, b"", f"Location: {other.address}/p.csv"))
        assert fetch(db, f"{server.address}/far").code == 0
        assert keys(other) == [None]
    assert keys(server) == [f"Bearer {SECRET}"]


def test_the_environment_goes_before_the_keyring(server, drawer, db, monkeypatch):
    keyring.set_password(SERVICE, HOST, SECRET)
    monkeypatch.setenv(VARIABLE, "from-the-environment")
    assert fetch(db, server.serve("/p.csv", ok(LIST))).code == 0
    assert keys(server) == ["Bearer from-the-environment"]
    monkeypatch.setenv(VARIABLE, "")
    assert opening(HOST) == f"Bearer {SECRET}"


def test_the_secret_is_in_nothing_that_is_printed_or_kept(server, drawer, db, tmp_path):
    keyring.set_password(SERVICE, HOST, SECRET)
    said = [
        fetch(db, server.serve("/p.csv", ok(LIST, 'ETag: "v1"'))),
        fetch(db, server.serve("/bad.csv", ok(BAD))),
        fetch(db, server.serve("/shut.csv", answer(401))),
        fetch(db, server.serve("/gone.csv", answer(404))),
        partsdb("export everything", db),
        partsdb("backup", db),
    ]
    assert [ran.code for ran in said] == [0, 2, 2, 2, 0, 0]
    assert keys(server) == [f"Bearer {SECRET}"] * 4
    assert not any(SECRET in ran.out + ran.err for ran in said)
    written = [file for file in tmp_path.rglob("*") if file.is_file() and file.name != "keyring.cfg"]
    assert any(file.name == "127-0-0-1_bad.to-mend.csv" for file in written)
    assert [file for file in written if SECRET.encode() in file.read_bytes()] == []


def test_who_isnt_let_in_is_told_both_places_for_a_key(server, drawer, db):
    ran = fetch(db, server.serve("/p.csv", answer(403)))
    assert (ran.code, ran.out) == (2, "")
    assert VARIABLE in ran.err
    assert f"keyring set partsdb {HOST}" in ran.err


# --------------------------------------------------------------------------- a keyring that doesn't answer


def locked(folder: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    use(Locked(), folder)
    return "the keyring is locked. Unlock it"


def damaged(folder: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """The parser of that file quotes the line it stumbles over."""
    Path(use(PlaintextKeyring(), folder).file_path).write_text(f"{SECRET}\n")
    return "can't be read (MissingSectionHeaderError)"


def garbled(folder: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    drawer = use(PlaintextKeyring(), folder)
    keyring.set_password(SERVICE, HOST, SECRET)
    path = Path(drawer.file_path)
    path.write_bytes(path.read_bytes() + b"\xff\xfe")
    return "can't be read (UnicodeDecodeError)"


def misnamed(folder: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("PYTHON_KEYRING_BACKEND", "keyrings.nowhere.Keyring")
    return "can't be read (ModuleNotFoundError)"


SHUT = (locked, damaged, garbled, misnamed)


@pytest.mark.parametrize("make", SHUT)
def test_a_keyring_that_doesnt_answer_stops_no_list_that_needs_no_key(
    make, server, db, tmp_path, monkeypatch
):
    make(tmp_path, monkeypatch)
    ran = fetch(db, server.serve("/p.csv", ok(LIST)))
    assert (ran.code, ran.err) == (0, "")
    assert keys(server) == [None]


@pytest.mark.parametrize("make", SHUT)
def test_where_a_key_is_needed_one_line_says_why_the_keyring_has_none(
    make, server, db, tmp_path, monkeypatch
):
    says = make(tmp_path, monkeypatch)
    ran = fetch(db, server.serve("/p.csv", answer(401)))
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.count("\n") == 1
    assert says in ran.err
    assert VARIABLE in ran.err
    assert SECRET not in ran.err


@pytest.mark.parametrize("make", SHUT)
def test_a_key_in_the_environment_needs_no_keyring(make, server, db, tmp_path, monkeypatch):
    make(tmp_path, monkeypatch)
    monkeypatch.setenv(VARIABLE, "from-the-environment")
    assert fetch(db, server.serve("/p.csv", ok(LIST))).code == 0
    assert keys(server) == ["Bearer from-the-environment"]


def test_the_cause_of_the_trouble_takes_no_secret_along(tmp_path, monkeypatch):
    damaged(tmp_path, monkeypatch)
    with pytest.raises(KeyringShut) as caught:
        opening(HOST, {})
    assert caught.value.__cause__ is None
    assert SECRET not in str(caught.value)


def test_a_computer_without_a_keyring_has_no_key_and_no_trouble(server, db):
    keyring.set_keyring(keyring.backends.fail.Keyring())
    assert opening(HOST, {}) is None
    ran = fetch(db, server.serve("/p.csv", answer(401)))
    assert ran.code == 2
    assert "can't be read" not in ran.err


def test_a_key_that_cant_be_sent_names_the_keyrings_entry_and_not_the_key(drawer):
    keyring.set_password(SERVICE, HOST, f"{SECRET}\r\nHost: evil")
    with pytest.raises(BadInput, match=r"entry partsdb / 127\.0\.0\.1 holds characters") as caught:
        opening(HOST, {})
    assert SECRET not in str(caught.value)


def test_the_keyring_is_asked_once_for_all_pages(server, db, tmp_path):
    use(Locked(), tmp_path)
    server.serve("/2", ok(LIST.replace(b"AE-31", b"AE-33")))
    assert fetch(db, server.serve("/1", ok(LIST, 'Link: </2>; rel="next"'))).code == 0
    assert [path for path, _ in server.requests] == ["/1", "/2"]
    assert Locked.asked == 1


# --------------------------------------------------------------------------- the package itself


def test_without_the_package_there_is_no_key_and_no_trouble(server, drawer, db, monkeypatch):
    """None in the place of a module makes importing it fail as on a computer that never had it."""
    keyring.set_password(SERVICE, HOST, SECRET)
    monkeypatch.setitem(sys.modules, "keyring", None)
    ran = fetch(db, server.serve("/p.csv", ok(LIST)))
    assert (ran.code, ran.err) == (0, "")
    assert keys(server) == [None]


def test_in_a_program_of_its_own_the_environment_names_the_backend(server, db, tmp_path):
    server.serve("/p.csv", ok(LIST))
    drawer = PlaintextKeyring()
    drawer.file_path = str(tmp_path / "XDG_DATA_HOME" / "python_keyring" / "keyring_pass.cfg")
    drawer.set_password(SERVICE, HOST, SECRET)
    ran = in_a_program_of_its_own(
        db,
        f"{server.address}/p.csv",
        PYTHON_KEYRING_BACKEND="keyrings.alt.file.PlaintextKeyring",
        XDG_DATA_HOME=str(tmp_path / "XDG_DATA_HOME"),
        XDG_CONFIG_HOME=str(tmp_path),
    )
    assert (ran.returncode, ran.stderr) == (0, "")
    assert keys(server) == [f"Bearer {SECRET}"]


def test_a_backend_that_cant_start_prints_nothing_of_its_own(server, db, tmp_path):
    """The keyring package logs what is wrong with its settings, to the terminal where nobody else listens."""
    server.serve("/p.csv", ok(LIST))
    (tmp_path / "python_keyring").mkdir()
    (tmp_path / "python_keyring" / "keyringrc.cfg").write_text("[backend]\nnothing = here\n")
    ran = in_a_program_of_its_own(
        db, f"{server.address}/p.csv", XDG_CONFIG_HOME=str(tmp_path), HOME=str(tmp_path)
    )
    assert (ran.returncode, ran.stderr) == (0, "")


def in_a_program_of_its_own(db: Path, address: str, **variables: str) -> subprocess.CompletedProcess[str]:
    """The same command as `fetch`, with that environment."""
    code = "import sys; from partsdb.cli import main; main(sys.argv[1:])"
    return subprocess.run(
        [sys.executable, "-c", code, "--db", str(db), "import", "offers", address],
        env=os.environ | variables,
        capture_output=True,
        text=True,
        check=False,
    )
