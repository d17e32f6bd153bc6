"""Who may come to a desk that others can reach: whoever knows its token, or people named in a file.

The file is TOML, a table of names and hashes of their passwords:

    [users]
    "Rosalind Quay" = "$argon2id$v=19$..."

`earwitness review --new-user NAME` prints such a line. Refuses a file that holds anything else (InputError).
"""

from __future__ import annotations

import hashlib
import hmac
import json
import threading
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Protocol

from argon2 import PasswordHasher, extract_parameters
from argon2.exceptions import InvalidHashError, VerificationError

from earwitness.schemas import InputError, Problem

LONGEST_NAME, LONGEST_SECRET = 100, 1000
SHORTEST_PASSWORD = 8
"""NIST SP 800-63B, section 5.1.1.2: at least eight characters, and no rule of composition."""
SHORTEST_TOKEN = 16
_HASHER = PasswordHasher()
"""Argon2id with the library's parameters: the second recommended option of RFC 9106."""
_AT_ONCE = threading.BoundedSemaphore(2)
"""A hash takes 64 MiB of memory: no more than two at once, however many knock."""


class Door(Protocol):
    """Whether somebody may come in."""

    kind: str

    def admits(self, name: str, secret: str) -> bool:
        """Whether this name may come in with this secret."""
        ...


class TokenDoor:
    """Whoever knows the token may come in, under whatever name."""

    kind = "token"

    def __init__(self, token: str):
        self._digest = hashlib.sha256(token.encode()).digest()

    def admits(self, name: str, secret: str) -> bool:
        """Whether the token is right, in the same time whatever it is."""
        return hmac.compare_digest(hashlib.sha256(secret.encode("utf-8", "replace")).digest(), self._digest)


class UsersDoor:
    """People with passwords of their own.

    Args:
        users: name -> hash.
    """

    kind = "users"

    def __init__(self, users: Mapping[str, str]):
        self._users = dict(users)
        # An unknown name takes as long as a wrong password: who is known stays unknown.
        self._nobody = _HASHER.hash("nobody has this password")

    def admits(self, name: str, secret: str) -> bool:
        """Whether that is the person's password."""
        stored = self._users.get(name)
        with _AT_ONCE:
            try:
                _HASHER.verify(stored or self._nobody, secret.encode("utf-8", "replace"))
            except (VerificationError, InvalidHashError):
                return False
        return stored is not None


def clean_name(name: str) -> str | None:
    """A reviewer's name as decisions bear it, on one line; None where it cannot be one."""
    tidy = " ".join(name.split())
    return tidy if 0 < len(tidy) <= LONGEST_NAME and tidy.isprintable() else None


def new_user_line(name: str, password: str) -> str:
    """The line of a users file for somebody.

    Raises:
        InputError: the name or the password will not do.
    """
    tidy = clean_name(name)
    if tidy is None:
        expected = f"1 to {LONGEST_NAME} printable characters"
        raise InputError(Problem("--new-user", 0, f"{name!r} is no name", expected))
    if not SHORTEST_PASSWORD <= len(password) <= LONGEST_SECRET:
        reason = f"the password has {len(password)} characters"
        raise InputError(Problem("--new-user", 0, reason, f"{SHORTEST_PASSWORD} or more, like a few words"))
    # A basic string of TOML takes the same escapes as JSON.
    return f"{json.dumps(tidy, ensure_ascii=True)} = {json.dumps(_HASHER.hash(password))}"


def read_users(path: str | Path) -> dict[str, str]:
    """The users of a file: name -> hash.

    Raises:
        InputError: it cannot be read, or holds something else.
    """
    file = Path(path)
    remedy = 'a table [users] with lines that `earwitness review --new-user NAME` prints, "NAME" = "$argon2id$..."'
    try:
        told = tomllib.loads(file.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise InputError(Problem(str(path), 0, f"cannot be read ({error.strerror or error})", remedy)) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError(Problem(str(path), 0, f"is no TOML ({error})", remedy)) from error
    users = told.get("users")
    if not isinstance(users, dict) or not users or set(told) != {"users"}:
        raise InputError(Problem(str(path), 0, "has no users, or more than users", remedy))
    for name, stored in users.items():
        if clean_name(name) != name:
            raise InputError(Problem(str(path), 0, f"{name!r} is no name", remedy))
        if not isinstance(stored, str) or not _is_hash(stored):
            raise InputError(Problem(str(path), 0, f"{name!r} has no argon2 hash", remedy))
    return dict(users)


def _is_hash(stored: str) -> bool:
    try:
        return stored.startswith("$argon2id$") and bool(extract_parameters(stored))
    except InvalidHashError:
        return False


def token_door(token: str) -> TokenDoor:
    """The door of a token that a person chose.

    Raises:
        InputError: it is too short to be safe.
    """
    if len(token) < SHORTEST_TOKEN:
        reason = f"the token has {len(token)} characters"
        raise InputError(Problem("EARWITNESS_DESK_TOKEN", 0, reason, f"{SHORTEST_TOKEN} or more that nobody guesses"))
    return TokenDoor(token)
