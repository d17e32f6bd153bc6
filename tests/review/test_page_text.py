"""Text of transcripts and people is only text on the page; and the page's modules are all named in it."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser

from tests.review import made
from tests.review.page_desk import rewritten, seat, served

HOSTILE = '<img src=x onerror="document.title=1"><script>document.title=2</script>&amp;"\'`${7*7}'


def test_hostile_text_is_only_text(run: Path, tmp_path: Path, chromium: Browser) -> None:
    """Under a policy that would tell of anything else: the seat fails on any error of page or policy."""

    def bitten(row: dict[str, Any]) -> dict[str, Any]:
        for name in ("transcriptText", "verbatimIdentification", "speaker", "text", "utteranceText", "colour"):
            if row.get(name):
                row[name] = f"{row[name]} {HOSTILE}"
        if row.get("scientificName") and "determinations" in row:
            row["vernacularName"] = HOSTILE
            named = {
                "step": "named",
                "verbatimIdentification": HOSTILE,
                "speaker": HOSTILE,
                "time": 1.0,
                "certainty": 0.5,
            }
            row["determinations"] = [named | {"scientificName": HOSTILE, "taxonID": None}]
            row["certaintyCues"] = [HOSTILE]
        return row

    tables = ("events.jsonl", "mentions.jsonl", "utterances.jsonl")
    folder = rewritten(run, tmp_path / "hostile", dict.fromkeys(tables, bitten))
    with served(folder, reviewer=HOSTILE) as site, seat(chromium, site.url) as me:
        me.press("a")
        me.type(HOSTILE)
        me.press("Enter", "g", "m", "w", "Escape", "h", "Escape", "m", "Escape", "e", "Escape")
        me.press("Enter", "k")
        me.saved()
        me.page.wait_for_selector(".utter")
        me.page.wait_for_selector(".who-list")
        assert HOSTILE in str(me.page.evaluate("document.body.textContent"))
        assert me.page.evaluate("document.querySelectorAll('img, iframe, object, embed, style').length") == 0
        assert me.page.evaluate("[...document.scripts].every(s => s.src.endsWith('/static/main.js'))")
        assert "to decide" in me.page.title()


def test_every_module_is_asked_for_at_once() -> None:
    """The page names all its modules, so that none waits for another; and none writes markup or runs text."""
    page = Path(str(files("earwitness.pipeline.review") / "page"))
    lines = (page / "desk.html").read_text("utf-8").splitlines()
    named = {line.split('"')[3].removeprefix("/static/") for line in lines if "modulepreload" in line}
    modules = {module.name: module.read_text("utf-8") for module in page.glob("*.js")}
    needed, to_read = set[str](), ["main.js"]
    while to_read:
        new = set(re.findall(r'from "\./(\w+\.js)"', modules[to_read.pop()])) - needed
        needed |= new
        to_read += new
    assert named == needed
    for words in ("innerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function"):
        assert not [name for name, text in modules.items() if words in text]


SLANTED = """(within) => [...document.querySelectorAll(`${within} b, ${within} i, ${within} .sci`)]
  .filter((one) => getComputedStyle(one).fontStyle === 'italic').map((one) => one.textContent)"""


def test_names_of_genera_and_below_alone_are_in_italics(run: Path, chromium: Browser) -> None:
    """ICZN, general recommendation B6, has it for names of genera and species; families stay upright."""
    with served(run) as site, seat(chromium, site.url) as me:
        me.page.locator(f".slip[data-event='{made.PAIR}']").click()
        me.press("n")
        me.type("coralliidae")
        me.page.wait_for_selector(".found .name")
        me.press("Enter")
        me.saved()
        me.page.locator(f".slip[data-event='{made.PAIR}']").click()
        me.page.wait_for_selector(".who-list .by-person")
        assert "Coralliidae" in me.text(".who-list")
        assert me.page.evaluate(SLANTED, ".standing") == []
        assert me.page.evaluate(SLANTED, ".who-list") == ["Paragorgia"]
        me.page.wait_for_selector(".u-claims .slant")
        assert me.page.evaluate("document.querySelector('.u-claims .slant').textContent") == "Paragorgia"
        me.page.goto(f"{site.url}agreement")
        me.page.wait_for_selector("#figures[aria-busy=false]")
        assert "Coralliidae" in me.text("#figures")
        assert me.page.evaluate(SLANTED, "#figures") == ["Paragorgia"]


def test_where_a_certainty_comes_from_is_told(run: Path, tmp_path: Path, chromium: Browser) -> None:
    def hedged(row: dict[str, Any]) -> dict[str, Any]:
        said = {"certainty": 0.55, "certaintyTerm": "probable"} if row["eventID"] == made.PAIR else {}
        return row | said | {"certaintyCues": ["maybe"] if row["eventID"] == made.LOBSTER else []}

    folder = rewritten(run, tmp_path / "hedged", {"events.jsonl": hedged})
    notes = {
        made.PAIR: "By the talk around it, not by one word",
        made.LOBSTER: "maybe",
        made.CALLOGORGIA: "No word of doubt was heard",
    }
    with served(folder) as site, seat(chromium, site.url) as me:
        for event, note in notes.items():
            me.page.locator(f".slip[data-event='{event}']").click()
            me.page.wait_for_function(
                "note => document.querySelector('.gauge.sure .g-note')?.textContent === note", arg=note
            )
        me.press("s", "4")
        me.saved()
        me.page.locator(f".slip[data-event='{made.CALLOGORGIA}']").click()
        me.page.wait_for_function(
            "() => document.querySelector('.gauge.sure .g-note')?.textContent === 'As a reviewer set it'"
        )
