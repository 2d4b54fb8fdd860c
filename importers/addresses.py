"""Which addresses a list may be fetched from, how they are named in messages, and what opens them.

Only https, or plain http on this very computer. What opens a door (a token, a password) comes from the environment
or the system's keyring, goes only to the host it is for, and is never written down or shown.
"""

from __future__ import annotations

import base64
import ipaddress
import logging
import os
import re
from collections.abc import Mapping
from importlib import import_module
from urllib.parse import urljoin, urlsplit

from partsdb.errors import BadInput, NetworkTrouble

SERVICE = "partsdb"
"""Under which name the keyring keeps what opens hosts."""


def checked(address: str) -> str:
    """The address, when a list may be fetched from it. Raises BadInput."""
    try:
        parts = urlsplit(address)
        host, _ = parts.hostname or "", parts.port
    except ValueError as fault:
        raise BadInput(
            "that is not an address of a list", "Write it like https://supplier.example/list.csv"
        ) from fault
    if parts.username is not None or parts.password is not None:
        raise BadInput(
            f"the address of {host} has a name or password in it",
            f"Leave them out, and set {variable(host)} instead",
        )
    if not host or not (parts.scheme == "https" or (parts.scheme == "http" and is_loopback(host))):
        raise BadInput(
            f"{shown(address)} can't be fetched safely", "Lists come by https, or from this computer"
        )
    return address


def followed(address: str, target: str) -> str:
    """Where a redirect or a next page leads. Raises NetworkTrouble when it leads to no safe place.

    Nobody but this computer may send us back to this computer.
    """
    onward = urljoin(address, target)
    try:
        checked(onward)
    except BadInput as fault:
        raise NetworkTrouble(f"{shown(address)} sends us to an unsafe address: {fault.what}", _ASK) from None
    if is_loopback(urlsplit(onward).hostname or "") and not is_loopback(urlsplit(address).hostname or ""):
        raise NetworkTrouble(f"{shown(address)} sends us to this very computer", _ASK)
    return onward


def shown(address: str) -> str:
    """The address as a message may show it: without query and fragment, where keys often hide, and without names."""
    parts = urlsplit(address)
    host = parts.netloc.rpartition("@")[2]
    return _UNSEEN.sub("?", f"{parts.scheme}://{host}{parts.path}")[:120]


def is_loopback(host: str) -> bool:
    """Whether the host is this very computer, by name or number."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def same_place(one: str, other: str) -> bool:
    """Whether two addresses are of one scheme, host and port: only then is what opens one sent to the other."""
    a, b = urlsplit(one), urlsplit(other)
    return (a.scheme, a.hostname, a.port) == (b.scheme, b.hostname, b.port)


def variable(host: str) -> str:
    """The environment variable with what opens that host.

    >>> variable("lists.supplier-one.example")
    'PARTSDB_KEY_LISTS_SUPPLIER_ONE_EXAMPLE'
    """
    return "PARTSDB_KEY_" + re.sub(r"[^A-Z0-9]", "_", host.upper())


class KeyringShut(NetworkTrouble):
    """The keyring is there and can't be asked: locked, misconfigured, damaged. Lists that need no key still come."""


def opening(host: str, environ: Mapping[str, str] | None = None) -> str | None:
    """The Authorization header for the host, None when there is none.

    Looked up in the environment, then in the keyring (service "partsdb", user name the host), where the package
    keyring is installed and has a backend. "name:password" gives Basic, anything else a Bearer token. Raises
    BadInput for what can't be sent in a header, KeyringShut when only the keyring could tell and doesn't.
    """
    place, found = variable(host), (os.environ if environ is None else environ).get(variable(host), "")
    if not found:
        place, found = f"the keyring's entry {SERVICE} / {host}", _from_keyring(host)
    if not found:
        return None
    if not found.isascii() or not found.isprintable():
        raise BadInput(f"{place} holds characters that can't be sent", "Set it anew, in one line")
    if ":" in found:
        return "Basic " + base64.b64encode(found.encode()).decode()
    return f"Bearer {found}"


def _from_keyring(host: str) -> str:
    """What the keyring holds for the host, "" when nothing. Its own messages are dropped: they may quote secrets."""
    logging.getLogger("keyring").addHandler(logging.NullHandler())  # else its complaints go to the terminal
    try:
        keyring = import_module("keyring")
    except ImportError:
        return ""
    try:
        return str(keyring.get_password(SERVICE, host) or "")
    except keyring.errors.NoKeyringError:
        return ""
    except keyring.errors.KeyringLocked:
        raise KeyringShut("the keyring is locked", "Unlock it") from None
    except Exception as fault:  # backends are strangers' code, and raise whatever their own parts do
        kind = type(fault).__name__
        raise KeyringShut(f"the keyring can't be read ({kind})", "See what `keyring diagnose` says") from None


_ASK = "Ask the supplier for the right address"
_UNSEEN = re.compile(r"[^\x20-\x7e]")
