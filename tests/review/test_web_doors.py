"""Who may come in: tokens, passwords, sessions, and how often somebody may err."""

from __future__ import annotations

import tomllib
from pathlib import Path
from unittest import mock

import pytest
from argon2 import PasswordHasher, Type, extract_parameters

from earwitness.pipeline.review.web import doors, sessions
from earwitness.pipeline.review.web.doors import (
    TokenDoor,
    UsersDoor,
    clean_name,
    new_user_line,
    read_users,
    token_door,
)
from earwitness.pipeline.review.web.hosts import Hosts, is_loopback
from earwitness.pipeline.review.web.sessions import Attempts, Sessions
from earwitness.schemas import InputError

PASSWORD = "nine small squat lobsters"


class Clock:
    """Time as the test wants it."""

    now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture(scope="module")
def line() -> str:
    return new_user_line("Rosalind Quay", PASSWORD)


def test_a_line_of_the_users_file_opens_the_door_to_its_person_alone(line: str, tmp_path: Path) -> None:
    file = tmp_path / "users.toml"
    file.write_text(f"[users]\n{line}\n", encoding="utf-8")
    assert PASSWORD not in line
    door = UsersDoor(file)
    assert door.admits("Rosalind Quay", PASSWORD)
    assert not door.admits("Rosalind Quay", PASSWORD + " ")
    assert not door.admits("Rosalind Quay", "")
    assert not door.admits("rosalind quay", PASSWORD)
    assert not door.admits("Nobody", PASSWORD)
    assert not door.admits("Nobody", "nobody has this password")
    assert not door.admits("Rosalind Quay", "\ud800")


def test_the_hash_is_argon2id_as_rfc_9106_recommends(line: str) -> None:
    """Section 4: the second recommended option is 64 MiB, three passes, four lanes, 128 bits of salt."""
    [stored] = tomllib.loads(line).values()
    told = extract_parameters(stored)
    assert told.type is Type.ID
    assert (told.memory_cost, told.time_cost, told.parallelism) == (65536, 3, 4)
    assert told.salt_len == 16
    assert PasswordHasher().verify(stored, PASSWORD)


@pytest.mark.parametrize("name", ['a "quoted" name', "back\\slash", "Zoë Ångström", "  two   words "])
def test_names_come_back_as_they_were(name: str) -> None:
    [back] = tomllib.loads(new_user_line(name, PASSWORD))
    assert back == " ".join(name.split())


@pytest.mark.parametrize(
    ("name", "password"),
    [("", PASSWORD), ("a\u202eb", PASSWORD), ("x" * 101, PASSWORD), ("A", "short"), ("A", "x" * 1001)],
)
def test_what_will_not_do_is_refused(name: str, password: str) -> None:
    with pytest.raises(InputError, match="--new-user"):
        new_user_line(name, password)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "has no users"),
        ("[users]\n", "has no users"),
        ("users = 3", "has no users"),
        ('[users]\n"A" = "secret"', "no argon2 hash"),
        ('[users]\n"A" = 3', "no argon2 hash"),
        ('[users]\n"A" = "$argon2i$v=19$m=8,t=1,p=1$c29tZXNhbHQ$AAAA"', "no argon2 hash"),
        ('[users]\n" A" = "x"', "is no name"),
        ("[users", "is no TOML"),
    ],
)
def test_a_file_of_users_that_holds_anything_else_is_refused(tmp_path: Path, text: str, reason: str) -> None:
    file = tmp_path / "users.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=reason) as told:
        read_users(file)
    assert "--new-user" in told.value.problem.expected


def test_a_file_that_is_not_there_or_no_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_users(tmp_path / "none.toml")
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(InputError, match="is no TOML"):
        read_users(tmp_path / "bytes.toml")


def test_the_token_is_the_whole_token() -> None:
    door = TokenDoor("correct horse battery")
    assert door.admits("Anybody", "correct horse battery")
    for wrong in ("", "correct horse", "correct horse battery ", "\ud800"):
        assert not door.admits("Anybody", wrong)
    with pytest.raises(InputError, match="5 characters"):
        token_door("short")


@pytest.mark.parametrize(
    ("name", "clean"),
    [("Ann", "Ann"), (" Ann  B. ", "Ann B."), ("", None), ("\t", None), ("a\x00b", None), ("\u202eevil", None)],
)
def test_a_name_is_printable_and_on_one_line(name: str, clean: str | None) -> None:
    assert clean_name(name) == clean


def test_a_session_ends_unused_after_hours_and_used_after_days() -> None:
    clock = Clock()
    there = Sessions(clock)
    secret, session = there.begin("Ann")
    clock.now += sessions.IDLE - 1
    assert there.of(secret) == session
    for _ in range(int(sessions.LONGEST / sessions.IDLE) - 1):
        clock.now += sessions.IDLE - 1
        assert there.of(secret) == session
    clock.now += sessions.IDLE - 1
    assert there.of(secret) is None
    secret, _ = there.begin("Ann")
    clock.now += sessions.IDLE - 1
    assert there.of(secret, use=False) is not None
    clock.now += 2
    assert there.of(secret) is None


def test_sessions_are_apart_and_end_when_their_person_leaves() -> None:
    there = Sessions()
    (ann, first), (bob, second) = there.begin("Ann"), there.begin("Bob")
    assert len({ann, bob, first.key, second.key}) == 4
    there.end(ann)
    there.end(None)
    assert there.of(ann) is None
    assert there.of(bob) == second
    assert there.of("") is None
    assert there.of("\ud800") is None


def test_a_session_ends_when_its_person_may_no_longer_come_in() -> None:
    marks = {"Ann": "one", "Bob": "two"}
    there = Sessions(mark=marks.get)
    (ann, _), (bob, _) = (there.begin(name, marks[name]) for name in marks)
    late, _ = there.begin("Ann", "an older one")
    assert (there.of(ann) is not None, there.of(bob) is not None, there.of(late)) == (True, True, None)
    marks["Ann"] = "another"
    assert (there.of(ann, use=False), there.of(bob) is not None) == (None, True)
    # It does not come back with its mark.
    marks["Ann"] = "one"
    assert there.of(ann) is None
    del marks["Bob"]
    assert there.of(bob) is None


def users(file: Path, *lines: str) -> None:
    """Write the file as an editor does: aside, and moved in."""
    aside = file.with_suffix(".new")
    aside.write_text("\n".join(("[users]", *lines)) + "\n", encoding="utf-8")
    aside.replace(file)


def test_the_file_of_users_is_read_again_when_it_is_another(
    line: str, tmp_path: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "users.toml"
    users(file, line)
    read = mock.Mock(side_effect=read_users)
    monkeypatch.setattr(doors, "read_users", read)
    door = UsersDoor(file)
    mark = door.mark("Rosalind Quay")
    assert mark is not None
    assert door.mark("Rosalind Quay") == mark
    assert read.call_count == 1
    other = new_user_line("Bo Lund", "ten small squat lobsters")
    users(file, other, line)
    assert (door.mark("Bo Lund") is not None, door.mark("Rosalind Quay")) == (True, mark)
    assert door.admits("Bo Lund", "ten small squat lobsters")
    users(file, other, new_user_line("Rosalind Quay", "another password"))
    assert door.mark("Rosalind Quay") not in (None, mark)
    assert not door.admits("Rosalind Quay", PASSWORD)
    users(file, line)
    assert (door.mark("Bo Lund"), door.mark("Rosalind Quay")) == (None, mark)
    assert not door.admits("Bo Lund", "ten small squat lobsters")
    # What is no file of users is told once, and those that it had stay.
    before = read.call_count
    file.write_text("[users", encoding="utf-8")
    assert [door.mark("Rosalind Quay") for _ in range(3)] == [mark] * 3
    assert read.call_count == before + 1
    assert "is no TOML" in caplog.text
    file.unlink()
    assert door.mark("Rosalind Quay") == mark
    users(file, other)
    assert (door.mark("Rosalind Quay"), door.mark("Bo Lund") is not None) == (None, True)
    # The last of them may be taken out, too.
    users(file)
    assert door.mark("Bo Lund") is None


def test_a_file_of_users_has_to_be_good_at_the_start(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        UsersDoor(tmp_path / "none.toml")


def test_there_are_not_more_sessions_than_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sessions, "MOST", 3)
    there = Sessions()
    secrets = [there.begin(f"P{n}")[0] for n in range(3)]
    assert there.of(secrets[0]) is not None
    there.begin("P4")
    assert [there.of(secret) is not None for secret in secrets] == [True, False, True]


def test_who_errs_too_often_waits() -> None:
    clock = Clock()
    attempts = Attempts(3, 60, clock)
    for _ in range(3):
        assert attempts.wait("a") == 0
        attempts.fail("a")
        clock.now += 10
    assert attempts.wait("a") == 30
    assert attempts.wait("b") == 0
    clock.now += 31
    assert attempts.wait("a") == 0
    attempts.fail("a")
    attempts.forget("a")
    assert attempts.wait("a") == 0


@pytest.mark.parametrize(
    ("host", "near"),
    [
        ("127.0.0.1", True),
        ("127.8.9.1", True),
        ("::1", True),
        ("[::1]", True),
        ("localhost", True),
        ("0.0.0.0", False),
        ("::", False),
        ("10.0.0.7", False),
        ("desk.example", False),
        ("", False),
    ],
)
def test_loopback_is_what_this_machine_alone_reaches(host: str, near: bool) -> None:
    assert is_loopback(host) is near


@pytest.mark.parametrize(
    "host", ["127.0.0.1:8321", "localhost:1", "localhost", "[::1]:8321", "LOCALHOST:8321", "127.0.0.1."]
)
def test_a_near_desk_answers_to_this_machine(host: str) -> None:
    assert Hosts("127.0.0.1").allows(host)


@pytest.mark.parametrize(
    "host",
    [
        None,
        "",
        "evil.example",
        "evil.example:8321",
        "127.0.0.1.evil.example",
        "10.0.0.7",
        "localhost@evil.example",
        "a b",
        "localhost:8321/x",
        "[::1",
        "0.0.0.0",
        "::1",
        "localhost:999999",
    ],
)
def test_a_near_desk_answers_to_nothing_else(host: str | None) -> None:
    assert not Hosts("127.0.0.1").allows(host)


def test_a_far_desk_answers_to_addresses_and_to_names_it_was_told() -> None:
    hosts = Hosts("0.0.0.0", ["Desk.example"])
    for host in ("10.0.0.7:8321", "[fe80::1]:8321", "desk.example", "localhost"):
        assert hosts.allows(host), host
    assert not hosts.allows("evil.example")
