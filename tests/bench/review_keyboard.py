"""Decisions by keyboard alone on runs whose truth is known: how many keys each takes.

The player knows what the gold rows say and what is on the screen, and has the habits of somebody who knows the desk:
what is right is accepted; a right name among the candidates shown is taken by its digit; else the name is typed, letter
by letter, until it is in the list, and taken from there. What is no sighting is rejected with its reason. Counts, sexes
and the rest are left as drafted. A key with Shift counts twice.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Browser, Page
from rich.table import Table

from earwitness.pipeline.score import score_run
from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.narrations import unseen_dives
from tests.bench.review_desks import DEMO, drafted, program
from tests.bench.review_page import in_hand, opened_page, told
from tests.review.page_desk import SAVED

RIGHT, WRONG, NONE = "right suggestion", "wrong name, the right one is in the checklist", "no sighting: rejected"
TARGETS = {RIGHT: "1.2", WRONG: "4", NONE: ""}
GENUS_LETTERS = 4
"""So many letters of the genus are typed before the player goes on with those of the epithet."""


@dataclass
class Played:
    """What came of playing a run through."""

    keys: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))
    by_digit: int = 0
    missed: list[str] = field(default_factory=list)
    wrong_after: int = 0
    seconds: float = 0.0


def keyboard(made: Browser, folder: Path, demo_index: NameIndex) -> Table:
    """A row a run: keys by kind of decision."""
    table = Table(title="Decisions by keyboard alone, keys a decision (mean)")
    table.add_column("run")
    for kind, target in TARGETS.items():
        table.add_column(f"{kind}{f' (target {target})' if target else ''}", justify="right")
    for name in ("all", "taken by a digit", "not found", "right afterwards", "machine's seconds"):
        table.add_column(name, justify="right")
    whole = Played()
    for name, run, truth in _runs(folder, demo_index):
        with program(run) as desk:
            played = play(made, desk.url, truth)
        table.add_row(name, *_cells(played))
        for kind, keys in played.keys.items():
            whole.keys[kind] += keys
        whole.by_digit += played.by_digit
        whole.missed += played.missed
        whole.wrong_after += played.wrong_after
        whole.seconds += played.seconds
    table.add_section()
    table.add_row("together", *_cells(whole))
    if whole.missed:
        table.caption = f"Not found by typing: {'; '.join(whole.missed)}"
    return table


def _cells(played: Played) -> list[str]:
    every = [keys for kind in TARGETS for keys in played.keys[kind]]
    cells = [_mean(played.keys[kind]) for kind in TARGETS]
    right = len(every) - played.wrong_after
    return [*cells, _mean(every), str(played.by_digit), str(len(played.missed)), f"{right} of {len(every)}",
            f"{played.seconds:.0f}"]  # fmt: skip


def _mean(keys: list[int]) -> str:
    return f"{sum(keys) / len(keys):.2f} (n = {len(keys)})" if keys else "–"


def _runs(folder: Path, demo_index: NameIndex) -> Iterator[tuple[str, Path, Mapping[str, str | None]]]:
    """Name, folder and truth of each run: eventID -> accepted name, or None where there was no animal."""
    wanted = [(DEMO, "clean", demo_index), (DEMO, "heard", demo_index)]
    seas: NameIndex | None = None
    for dive, checklist in unseen_dives(opened=True):
        seas = seas or NameIndex(load_checklist(checklist))
        wanted += [(dive, captions, seas) for captions in ("clean", "raw")]
    for dive, captions, index in wanted:
        run = drafted(dive / f"{captions}.vtt", index, folder / f"{dive.name}-{captions}")
        score = score_run(run, [dive / "gold_events.csv"], checklist=index.checklist).to_json()
        truth: dict[str, str | None] = {}
        for pair in score["events"]["pairs"]:
            if pair["eventID"]:
                meant = pair["runName"] if pair["relation"] == "same" else pair["goldName"]
                truth[pair["eventID"]] = meant if pair["isOccurrence"] else None
        yield f"{dive.name}, {captions}", run, truth


def play(made: Browser, url: str, truth: Mapping[str, str | None]) -> Played:
    """Decide on every animal whose truth is known, as the pile lies; the keys that go there are counted with them."""
    played = Played()
    context, page = opened_page(made, f"{url}/")
    began = time.perf_counter()
    # Only the animals: the first two keys count with the first decision.
    before = 0
    page.keyboard.press("g")
    page.keyboard.press("2")
    seen: set[str] = set()
    while (event := in_hand(page)) and event not in seen:
        seen.add(event)
        if event not in truth:
            # A denial, or an animal that was elsewhere: the gold rows say nothing of it.
            page.keyboard.press("Enter")
            _gone(page, event, "")
            before = told(page)["keys"]
            continue
        kind = _decide(page, event, truth[event], played)
        keys = told(page)["keys"]
        played.keys[kind].append(keys - before)
        before = keys
    page.wait_for_function(SAVED)
    played.seconds = time.perf_counter() - began
    stands = page.evaluate("fetch('/api/events').then((answer) => answer.json())")
    rows = [dict(zip(stands["columns"], row, strict=True)) for row in stands["rows"]]
    named = {row["eventID"]: row["scientificName"] for row in rows if row["reviewStatus"] in ("accepted", "changed")}
    played.wrong_after = sum(named.get(event) != name for event, name in truth.items())
    context.close()
    return played


def _decide(page: Page, event: str, name: str | None, played: Played) -> str:
    """Decide on the event in hand; what kind of decision it was."""
    if name is None:
        page.keyboard.press("x")
        page.keyboard.press(page.locator("dialog .choice kbd").first.text_content() or "")
        return _gone(page, event, NONE)
    if page.locator(".standing .sci").text_content() == name:
        page.keyboard.press("Enter")
        return _gone(page, event, RIGHT)
    page.wait_for_selector(".names .name .sci")
    shown = page.locator(".names .name .sci").all_text_contents()
    if name in shown:
        page.keyboard.press(str(shown.index(name) + 1))
        played.by_digit += 1
        return _gone(page, event, WRONG)
    page.keyboard.press("n")
    page.wait_for_selector(".name-search input")
    genus, _, epithet = name.lower().partition(" ")
    typed = f"{genus[:GENUS_LETTERS]} {epithet}" if epithet else genus
    for letter in typed:
        with page.expect_response(lambda answer: "/api/names" in answer.url) as answer:
            page.keyboard.type(letter)
        found = [one["scientificName"] for one in answer.value.json()["names"]]
        if name in found[:9]:
            page.wait_for_function("() => document.querySelectorAll('.name-search .name').length > 0")
            page.keyboard.press("Enter" if found[0] == name else str(found.index(name) + 1))
            return _gone(page, event, WRONG)
    played.missed.append(f"{name} by {typed!r}")
    page.keyboard.press("Escape")
    page.keyboard.press("Enter")
    return _gone(page, event, WRONG)


def _gone(page: Page, event: str, kind: str) -> str:
    """The kind, once another event is in hand."""
    page.wait_for_function(
        "was => (document.querySelector('.slip[aria-selected=true]')?.dataset.event || null) !== was", arg=event
    )
    return kind
