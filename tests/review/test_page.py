"""The desk's page in a real browser, by keyboard alone: every way of deciding, and what then stands on the server."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Route

from tests.review import made
from tests.review.page_desk import Seat, Served, rewritten, seat, served


@pytest.fixture
def me(site: Served, chromium: Browser) -> Iterator[Seat]:
    """At the desk, the pile in order of time, the first pair of corals in hand."""
    with seat(chromium, f"{site.url}") as sitting:
        sitting.press("g", "m")
        go_to(sitting, made.PAIR)
        yield sitting


def go_to(me: Seat, event: str) -> None:
    """By keys to an event of the pile, as it lies in order of time."""
    for _ in range(12):
        if in_hand(me) == event:
            return
        me.press("k" if event < str(in_hand(me)) else "j")
    raise AssertionError(f"{event} cannot be reached")


def in_hand(me: Seat) -> str | None:
    found: str | None = me.page.evaluate("document.querySelector('.slip[aria-selected=true]')?.dataset.event || null")
    return found


def event(site: Served, name: str) -> dict[str, Any]:
    told: dict[str, Any] = site.told(f"api/events/{name}")
    return told


def test_enter_accepts_and_goes_on(me: Seat, site: Served) -> None:
    me.press("Enter", "Enter", "Enter")
    me.saved()
    rows = site.rows()
    accepted = [name for name, row in rows.items() if row["reviewStatus"] == "accepted"]
    assert sorted(accepted) == sorted([made.PAIR, made.LOBSTER, made.CALLOGORGIA])
    assert {rows[name]["reviewedBy"] for name in accepted} == {"Rosalind Quay"}
    assert in_hand(me) == made.PAIR_2
    assert me.text("#tally").startswith("6 of 9 to decide")


def test_the_next_event_is_there_before_the_server_has_answered(me: Seat, site: Served) -> None:
    """And until it has, nothing is shown as decided."""
    held: list[Route] = []
    me.page.route("**/api/decisions", lambda route: held.append(route))
    me.press("Enter")
    assert in_hand(me) == made.LOBSTER
    me.page.wait_for_function("() => document.querySelector('#tray').textContent.includes('Saving 1')")
    slip = me.page.locator(f".slip[data-event='{made.PAIR}']")
    assert "sending" in (slip.text_content() or "")
    assert me.text("#tally").startswith("9 of 9 to decide")
    assert site.states() == ["9 draft"]
    me.page.wait_for_function("() => true")
    held[0].continue_()
    me.saved()
    assert "accepted" in (slip.text_content() or "")
    assert site.states() == ["1 accepted", "8 draft"]


def test_a_digit_takes_that_name(me: Seat, site: Served) -> None:
    me.page.wait_for_selector(".names .name >> nth=1")
    me.press("2")
    me.saved()
    row = site.rows()[made.PAIR]
    assert (row["scientificName"], row["reviewStatus"]) == ("Callogorgia", "changed")
    assert in_hand(me) == made.LOBSTER


@pytest.mark.parametrize("opening", ["n", "/", "M"])
def test_a_name_of_the_checklist_is_found_as_one_types(me: Seat, site: Served, opening: str) -> None:
    me.press(opening)
    me.type("unida q" if opening == "M" else "munida q")
    me.press("Enter")  # at once: what is found a moment later is taken then
    me.page.wait_for_function("() => !document.querySelector('.name-search')")
    me.saved()
    row = event(site, made.PAIR)["row"]
    assert (row["scientificName"], row["taxonRank"], row["family"]) == ("Munida quadrispina", "species", "Munididae")
    assert in_hand(me) == made.LOBSTER
    assert me.page.evaluate("document.activeElement.id") == "label"


def test_a_search_can_be_left_and_nothing_is_decided(me: Seat, site: Served) -> None:
    me.press("n")
    me.type("zzzzqqq")
    me.page.wait_for_function(
        "() => document.querySelector('.search-note').textContent.includes('Nothing in the checklist')"
    )
    me.press("Enter", "Escape")
    assert me.page.locator(".name-search").count() == 0
    assert in_hand(me) == made.PAIR
    assert site.states() == ["9 draft"]


def test_reject_takes_one_letter_for_the_reason(me: Seat, site: Served) -> None:
    me.press("x")
    letters = me.page.locator("dialog .choice kbd").all_text_contents()
    assert len(set(letters)) == len(letters) == 6
    words = me.page.locator("dialog .choice span").all_text_contents()
    me.press(letters[words.index("Cannot be told from the picture")])
    me.saved()
    told = event(site, made.PAIR)
    assert (told["row"]["reviewStatus"], told["own"]["rejectReason"]) == ("rejected", "unclear")
    assert in_hand(me) == made.LOBSTER


def test_a_reason_of_ones_own_is_written(me: Seat, site: Served) -> None:
    me.press("x")
    letters = me.page.locator("dialog .choice kbd").all_text_contents()
    me.press(letters[-1])
    me.type("It is the vehicle's own shadow")
    me.press("Enter")
    me.saved()
    told = event(site, made.PAIR)
    assert told["own"]["rejectReason"] == "other"
    assert told["history"][-1]["note"] == "It is the vehicle's own shadow"


def test_count_qualifier_and_certainty(me: Seat, site: Served) -> None:
    me.press("c")
    me.type("14")
    me.press("Enter", "q")
    me.press(me.page.locator("dialog .choice", has_text="cf.").locator("kbd").text_content() or "")
    me.press("s", "3")
    me.saved()
    row = event(site, made.PAIR)["row"]
    wanted = (14, "cf.", "possible", "changed")
    assert (row["individualCount"], row["identificationQualifier"], row["certaintyTerm"], row["reviewStatus"]) == wanted
    assert in_hand(me) == made.PAIR
    assert "cf." in me.standing
    me.press("c")
    me.type("about 20")
    me.press("Enter")
    me.saved()
    row = event(site, made.PAIR)["row"]
    wanted = (None, "20", "individuals, approximate")
    assert (row["individualCount"], row["organismQuantity"], row["organismQuantityType"]) == wanted
    me.press("Enter")  # what is decided is left as it is: on to the next
    assert in_hand(me) == made.LOBSTER
    assert event(site, made.PAIR)["version"] == 4


def test_all_fields_and_only_what_was_changed_is_sent(me: Seat, site: Served) -> None:
    me.press("e")
    me.page.locator("dialog input[name=colour]").fill("pale orange")
    me.page.locator("dialog select[name=vitality]").select_option("dead")
    me.press("Enter")
    me.saved()
    told = event(site, made.PAIR)
    assert (told["row"]["colour"], told["row"]["vitality"]) == ("pale orange", "dead")
    changed = set(told["history"][-1]["changes"][0]["after"])
    assert {"colour", "vitality"} <= changed
    assert not changed & {"individualCount", "startTime", "scientificName", "certainty"}


def test_ask_someone_and_find_it_again(me: Seat, site: Served) -> None:
    me.press("a")
    me.type("Dr Tam: is the axis jointed?")
    me.press("Enter")
    me.saved()
    told = event(site, made.PAIR)
    assert (told["own"]["askNote"], told["row"]["reviewStatus"]) == ("Dr Tam: is the axis jointed?", "draft")
    assert in_hand(me) == made.LOBSTER
    me.press("g", "q")
    assert me.page.locator(".slip").count() == 1
    assert in_hand(me) == made.PAIR
    me.page.wait_for_function("() => document.querySelector('.notes')")
    assert "is the axis jointed?" in me.text(".notes")


def test_a_remark_and_the_history_of_an_event(me: Seat, site: Served) -> None:
    me.press("i")
    me.type("seen on the second pass as well")
    me.press("Enter", "2", "k")
    me.saved()
    assert event(site, made.PAIR)["own"]["reviewNote"] == "seen on the second pass as well"
    me.press("h")
    me.page.wait_for_selector("dialog .long-history")
    told = me.text("dialog")
    assert "Rosalind Quay" in told
    assert "Paragorgia Callogorgia" in told  # before, after
    me.press("Escape")
    assert me.page.locator("dialog").count() == 0


def test_undo_and_redo_without_limit(me: Seat, site: Served) -> None:
    before = site.rows()
    me.press("Enter", "2", "x", "c", "Enter", "c", "7", "Enter")
    me.saved()
    decided = site.rows()
    assert site.states() != ["9 draft"]
    number = site.told("api/run")["last"]
    for _ in range(number):
        me.press("u")
    me.saved()
    undone = site.rows()
    assert [strip(row) for row in undone.values()] == [strip(row) for row in before.values()]
    for _ in range(number):
        me.press("y")
    me.saved()
    assert [strip(row) for row in site.rows().values()] == [strip(row) for row in decided.values()]
    me.press("y")  # nothing more: said, and no trouble
    me.page.wait_for_function("() => document.querySelector('#said').textContent.toLowerCase().includes('nothing')")
    assert me.page.locator("#tray .alert").count() == 0


def strip(row: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name not in ("version",)}


def test_reopen(me: Seat, site: Served) -> None:
    me.press("Enter", "k", "o")
    me.saved()
    assert site.rows()[made.PAIR]["reviewStatus"] == "draft"


def test_the_same_words_are_shown_first_and_then_decided_at_one_stroke(me: Seat, site: Served) -> None:
    me.press("w")
    me.page.wait_for_selector("dialog .same-list li >> nth=1")
    assert me.page.locator("dialog .same-list li").count() == 2
    assert site.states() == ["9 draft"]
    me.press("2")
    me.page.locator("dialog .same-list input").nth(1).uncheck()
    me.press("Enter")
    me.saved()
    rows = site.rows()
    names = [rows[name]["scientificName"] for name in (made.PAIR, made.PAIR_2, made.PAIR_3)]
    assert names == ["Callogorgia", "Callogorgia", "Paragorgia"]
    me.press("u")
    me.saved()
    assert site.states() == ["9 draft"]


def test_merge_link_and_split(me: Seat, site: Served) -> None:
    me.press("m")
    me.type("pair")
    me.press("Enter")
    me.saved()
    told = event(site, made.PAIR)
    assert (told["own"]["mergedInto"], told["row"]["reviewStatus"]) == (made.PAIR_2, "rejected")
    me.press("u")
    me.saved()
    go_to(me, made.LOBSTER)
    me.press("l", "1")
    me.saved()
    assert event(site, made.LOBSTER)["row"]["associatedOccurrences"] == f'"on":"{made.PAIR}"'
    go_to(me, made.CALLOGORGIA)
    me.press("p")
    me.page.keyboard.press("Tab")
    me.page.keyboard.press("Tab")
    me.type("munida q")
    me.page.wait_for_selector("dialog .name-search .name")
    me.press("Enter")
    assert "Munida quadrispina" in me.text("dialog .chosen")
    me.press("Enter")
    me.saved()
    rows = site.rows()
    assert len(rows) == 10
    new = next(row for name, row in rows.items() if name not in {r["eventID"] for r in made.events()})
    assert new["scientificName"] == "Munida quadrispina"
    assert rows[made.CALLOGORGIA]["scientificName"] == "Callogorgia"


def test_a_new_sighting_from_words_by_keys(me: Seat, site: Served) -> None:
    go_to(me, made.LOBSTER)
    me.page.wait_for_selector(".utter.here")
    me.press("v")
    for _ in range(8):
        if me.text(".picked q") == "lobster":
            break
        me.press("ArrowRight")
    me.press("Enter")
    field = me.page.locator("dialog input")
    assert field.input_value() == "lobster"
    field.fill("munida q")
    me.press("Enter")
    me.page.wait_for_function("() => !document.querySelector('dialog')")
    me.saved()
    rows = site.rows()
    assert len(rows) == 10
    new = next(row for name, row in rows.items() if name not in {r["eventID"] for r in made.events()})
    wanted = ("Munida quadrispina", "lobster", "saddle_01")
    assert (new["scientificName"], new["verbatimIdentification"], new["recordingID"]) == wanted
    assert 31 <= new["startTime"] <= 33


def test_words_chosen_with_the_mouse_make_a_sighting_too(me: Seat) -> None:
    go_to(me, made.LOBSTER)
    me.page.wait_for_selector(".utter.here mark")
    me.page.evaluate("getSelection().selectAllChildren(document.querySelector('.utter.here mark'))")
    me.page.wait_for_selector(".picked")
    assert me.text(".picked q") == "squat lobster"
    me.press("v")
    assert me.page.locator("dialog input").input_value() == "squat lobster"


def test_words_without_times_can_be_chosen_as_well(run: Path, tmp_path: Path, chromium: Browser) -> None:
    folder = rewritten(run, tmp_path / "untimed", {"utterances.jsonl": lambda row: row | {"words": []}})
    with served(folder) as site, seat(chromium, site.url) as me:
        me.press("g", "m")
        go_to(me, made.LOBSTER)
        me.page.wait_for_selector(".utter.here")
        me.press("v", "ArrowRight", "Shift+ArrowRight", "Enter")
        me.page.locator("dialog input").fill("munida q")
        me.press("Enter")
        me.page.wait_for_function("() => !document.querySelector('dialog')")
        me.saved()
        assert len(site.rows()) == 10


def test_a_word_of_the_talk_leads_to_its_event(me: Seat) -> None:
    me.page.wait_for_selector(f".utter mark[data-event='{made.LOBSTER}']")
    me.page.locator(f".utter mark[data-event='{made.LOBSTER}']").click()
    assert in_hand(me) == made.LOBSTER


def test_queues_and_the_search_in_the_pile(me: Seat) -> None:
    me.press("g", "t")
    bands = me.page.locator(".pile-band").all_text_contents()
    assert bands == ["Callogorgia1", "Munida2", "Paragorgia3", "ground1", "marks of the dive1", "readings1"]
    me.press("g", "d")
    me.page.wait_for_function("() => document.querySelectorAll('.pile-band').length === 0")
    me.press("f")
    me.type("moo need")
    me.page.wait_for_function("() => document.querySelectorAll('.slip').length === 1")
    assert in_hand(me) == made.MOO
    me.press("Enter", "Enter")
    me.saved()
    me.press("g", "r", "g", "w")
    me.page.locator("#filter").fill("")
    me.page.wait_for_function("() => document.querySelectorAll('.slip').length === 9")
    assert me.page.locator(".pile-band").all_text_contents() == ["nobody yet8", "Rosalind Quay1"]
    me.page.locator("#kind").select_option("marker")
    assert me.page.locator(".slip").count() == 1


def test_teaching_is_one_key(me: Seat, site: Served) -> None:
    me.press("t")
    me.saved()
    assert event(site, made.PAIR)["history"][-1]["action"] == "teach"


def test_the_end_of_the_pile_and_a_run_without_events(me: Seat, chromium: Browser, tmp_path: Path) -> None:
    for _ in range(9):
        me.press("Enter")
    me.saved()
    me.page.wait_for_function("() => document.querySelector('.standing').textContent === 'All is decided'")
    assert me.text("#tally").startswith("0 of 9 to decide")
    with served(made.write(tmp_path / "empty", [])) as empty, seat(chromium, empty.url) as nobody:
        assert nobody.standing == "There is nothing to review"
        nobody.press("Enter", "x", "c", "n", "j", "w", "e")
        assert nobody.page.locator("dialog").count() == 0


def test_draft_is_said_until_a_person_has_decided(me: Seat) -> None:
    assert me.text(".stamp-state") == "Draft, machine suggested"
    me.press("Enter", "k")
    me.saved()
    assert me.text(".stamp-state") == "Accepted by Rosalind Quay"
    assert "verified" in me.text("#caution")


def test_the_two_figures_stand_apart(me: Seat) -> None:
    assert me.text(".gauge.fit b") == "0.71"
    assert me.text(".gauge.sure b") == "0.95"
    assert me.text(".gauge.sure .here") == "certain"


def test_single_keys_can_be_turned_off(me: Seat, site: Served) -> None:
    me.press("?")
    me.page.locator("#single-keys").uncheck()
    me.press("Escape", "2", "x", "c")
    assert me.page.locator("dialog").count() == 0
    assert site.states() == ["9 draft"]
    me.press("Alt+2")
    me.saved()
    assert site.rows()[made.PAIR]["scientificName"] == "Callogorgia"
