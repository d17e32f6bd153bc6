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
import logging
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
_LOG = logging.getLogger("uvicorn.error")
_AT_ONCE = threading.BoundedSemaphore(2)
"""A hash takes 64 MiB of memory: no more than two at once, however many knock."""


class Door(Protocol):
    """Whether somebody may come in."""

    kind: str

    def admits(self, name: str, secret: str) -> bool:
        """Whether this name may come in with this secret."""
        ...

    def mark(self, name: str) -> str | None:
        """What a session of this name rests on: it ends when that is another, or None."""
        ...


class TokenDoor:
    """Whoever knows the token may come in, under whatever name."""

    kind = "token"

    def __init__(self, token: str):
        self._digest = hashlib.sha256(token.encode()).digest()

    def admits(self, name: str, secret: str) -> bool:
        """Whether the token is right, in the same time whatever it is."""
        return hmac.compare_digest(hashlib.sha256(secret.encode("utf-8", "replace")).digest(), self._digest)

    def mark(self, name: str) -> str:
        """The same for all: the token is that of this program's run."""
        return ""


class UsersDoor:
    """People with passwords of their own, as their file has them now.

    Whoever is no longer in the file, or has another password there, has no session any more. While the file is gone or
    holds anything else, the people that it had stay; that is said on the terminal that the desk was started in.

    Args:
        file: see the top of this module; it is looked at whenever somebody asks for anything.

    Raises:
        InputError: it cannot be used from the start.
    """

    kind = "users"

    def __init__(self, file: str | Path):
        self._file = Path(file)
        self._lock = threading.Lock()
        self._seen = self._state()
        self._users = read_users(file)
        # An unknown name takes as long as a wrong password: who is known stays unknown.
        self._nobody = _HASHER.hash("nobody has this password")

    def admits(self, name: str, secret: str) -> bool:
        """Whether that is the person's password."""
        stored = self._now().get(name)
        with _AT_ONCE:
            try:
                _HASHER.verify(stored or self._nobody, secret.encode("utf-8", "replace"))
            except (VerificationError, InvalidHashError):
                return False
        return stored is not None

    def mark(self, name: str) -> str | None:
        """The hash of the person's password."""
        return self._now().get(name)

    def _now(self) -> Mapping[str, str]:
        with self._lock:
            state = self._state()
            if state != self._seen:
                # Whatever is found in it, the same is not read twice.
                self._seen = state
                try:
                    self._users = read_users(self._file, may_be_empty=True)
                except InputError as error:
                    _LOG.error("%s; until then the people that it had stay", error)
            return self._users

    def _state(self) -> tuple[int, ...] | None:
        """What differs when the file is another; None: it is not there."""
        try:
            info = self._file.stat()
        except OSError:
            return None
        return info.st_mtime_ns, info.st_size, info.st_ino


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


def read_users(path: str | Path, *, may_be_empty: bool = False) -> dict[str, str]:
    """The users of a file: name -> hash.

    Args:
        path: the file.
        may_be_empty: whether it may have a table of users with nobody in it.

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
    if not isinstance(users, dict) or not (users or may_be_empty) or set(told) != {"users"}:
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
