"""Indexes on disk: the same answers as from memory, whatever happens to the files, the folder and other processes."""

from __future__ import annotations

import csv
import errno
import json
import os
import pickle
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from earwitness.schemas import InputError
from earwitness.taxonomy import NameIndex, index_store, load_checklist, name_index, open_index
from earwitness.taxonomy.fold import spoken_key

COLUMNS = ["taxonID", "scientificName", "taxonRank", "acceptedNameUsageID", "parentNameUsageID", "vernacularName"]
Row = tuple[str, str, str, str, str, str]
# Real taxa and names that are none: ligatures, accents, other scripts, the shortest and the longest.
ROWS: list[Row] = [
    ("1", "Hexactinellida", "class", "", "", "glass sponge|Glasschwämme"),
    ("2", "Munididae", "family", "", "9", "squat lobster"),
    ("3", "Munidopsidae", "family", "", "", "squat lobster"),
    ("4", "Munida sarsi", "species", "", "2", "Sars’s squat lobster"),
    ("5", "Munida sarsi", "species", "4", "", ""),
    ("6", "Io", "genus", "", "", "ß|œil de mer"),
    ("7", "Lophelia pertusa", "species", "8", "", ""),
    ("8", "Desmophyllum pertusum", "species", "", "", "cold-water coral"),
    ("9", "Galatheoïdea", "Superfamily", "", "", ""),
    ("10", "X", "", "", "", "ж|海綿"),
    ("11", "A" + "bcdefghij" * 6, "genus", "", "", "w" * 60),
]


def write(path: Path, rows: list[Row] | None = None) -> Path:
    with path.open("w", encoding="utf-8", newline="") as out:
        table = csv.writer(out)
        table.writerows([COLUMNS, *(ROWS if rows is None else rows)])
    return path


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("EARWITNESS_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


def kept(cache: Path) -> list[Path]:
    """Everything that lies in a cache, dotted names too."""
    return sorted(cache.iterdir()) if cache.exists() else []


def built(home: Path) -> tuple[int, int]:
    """Changes whenever an index is built anew."""
    stat = (home / "meta.json").stat()
    return stat.st_ino, stat.st_mtime_ns


def said(index: NameIndex) -> dict[str, Any]:
    """Everything an index answers."""
    checklist = index.checklist
    keys = ["", "nothing", *(entry.key for entry in index.entries)]
    taxa = list(checklist)
    return {
        "entries": list(index.entries),
        "one by one": [index.entry(i) for i in range(len(index.entries))],
        "exact": [index.exact(key) for key in keys],
        "known": index.known(keys).tolist(),
        "lengths": [index.name_lengths([*key.split(), "coral"]) for key in keys],
        "similar": [index.similar(key) for key in keys[:7]],
        "sets": [set(index.words), set(index.first_words), dict(index.epithets)],
        "by entry": [index.accepted_rows.tolist(), index.kinds.tolist(), index.ranks.tolist(), index.tables.rank_names],
        "arrays": {name: array.tolist() for name, array in index.arrays.items()},
        "taxa": taxa,
        "frame": checklist.taxa.to_dicts(),
        "schema": checklist.taxa.schema,
        "lineages": [checklist.lineage(i) for i in range(len(checklist))],
        "found": [(checklist.find(t.scientific_name.upper()), checklist.by_id(t.taxon_id)) for t in taxa],
        "not found": [checklist.find("Nothing"), checklist.by_id("nothing"), checklist.by_id("\udc80")],
        "list": [checklist.name, checklist.path, checklist.sha256, checklist.problems],
    }


def assert_same(index: NameIndex, path: Path, columns: dict[str, str] | None = None) -> None:
    assert index.problems == index.checklist.problems
    assert said(index) == said(NameIndex(load_checklist(path, columns=columns)))


def refusal(load: Callable[[], object]) -> str:
    try:
        load()
    except InputError as error:
        return str(error)
    return ""


LETTERS = "abcdefghijklmnopqrstuvwxyzæœßïéžłøж海'’-"
WORD = st.text(LETTERS, min_size=1, max_size=9)
NAME = st.lists(WORD, min_size=1, max_size=3).map(" ".join).map(str.capitalize)
SPOKEN = st.lists(st.lists(WORD, min_size=1, max_size=7).map(" ".join), max_size=3).map("|".join)
IDS = st.sampled_from(["", "0", "1", "2", "3", "é", "nowhere"])
RANK = st.sampled_from(["", "species", "genus", "Family", "order", "class", "ранг"])


@settings(max_examples=30)
@given(st.lists(st.tuples(IDS, NAME, RANK, IDS, IDS, SPOKEN), max_size=9))
@example(ROWS)
@example([("", "Io", "", "", "", "")])
@example([("1", "海", "", "", "", "")])
@example([])
def test_an_index_from_disk_says_what_one_from_memory_says(rows: list[Row]) -> None:
    with TemporaryDirectory() as place:
        path, cache = write(Path(place) / "list.csv", rows), Path(place) / "cache"
        refused = refusal(lambda: load_checklist(path))
        if refused:
            assert refusal(lambda: open_index(path, folder=cache)) == refused
            assert not kept(cache)
            return
        assert_same(open_index(path, folder=cache), path)
        (home,) = kept(cache)
        first = built(home)
        assert_same(open_index(path, folder=cache), path)
        assert built(home) == first


def test_the_built_in_list(dive: Path, cache: Path) -> None:
    for _ in range(2):
        assert_same(open_index(dive / "checklist.csv"), dive / "checklist.csv")


def test_a_real_list(demo_seas_path: Path, cache: Path) -> None:
    for _ in range(2):
        assert_same(open_index(demo_seas_path), demo_seas_path)


def test_names_in_other_letters(tmp_path: Path, cache: Path) -> None:
    path = write(tmp_path / "list.csv")
    open_index(path)
    index = open_index(path)
    for heard, name in [
        ("glasschwamme", "Hexactinellida"),
        ("oeil de mer", "Io"),
        ("ss", "Io"),
        ("galatheoidea", "Galatheoïdea"),
        ("x", "X"),
        ("w" * 60, "A" + "bcdefghij" * 6),
        ("a" + "bcdefghij" * 6, "A" + "bcdefghij" * 6),
    ]:
        assert {index.checklist.taxon(entry.row).scientific_name for entry in index.exact(heard)} == {name}
    assert {entry.text for entry in index.entries}.isdisjoint({"ж", "海綿"})


def test_an_opened_index_is_mapped_and_cannot_be_written(tmp_path: Path, cache: Path) -> None:
    index = open_index(write(tmp_path / "list.csv"))
    tables, cells = index.tables, index.checklist.cells
    arrays = [tables.rows, tables.accepted, tables.kinds, tables.numbers, tables.ranks, tables.exact.begin]
    arrays += [tables.keys.letters, tables.texts.begin, cells.numbers, cells.strings.letters]
    arrays += [index.checklist.accepted_rows, index.checklist.parent_rows, index.checklist.rows_by_id.values_by_key]
    assert not [array for array in arrays if array.flags.owndata or array.flags.writeable]


def test_an_index_can_be_sent_to_another_process(tmp_path: Path, cache: Path) -> None:
    path = write(tmp_path / "list.csv")
    assert_same(pickle.loads(pickle.dumps(open_index(path))), path)


def test_a_changed_file_gets_a_new_index_and_the_old_one_goes(tmp_path: Path, cache: Path) -> None:
    path = write(tmp_path / "list.csv")
    before = open_index(path)
    (old,) = kept(cache)
    write(path, [*ROWS, ("12", "Chaceon affinis", "species", "", "", "")])
    index = open_index(path)
    assert index.exact("chaceon affinis")
    assert_same(index, path)
    (new,) = kept(cache)
    assert new != old
    assert before.exact("glass sponge")[0].text == "glass sponge"
    assert not before.exact("chaceon affinis")


def test_the_same_content_is_the_same_index_under_any_path(tmp_path: Path, cache: Path) -> None:
    rows = [*ROWS, ("12", "", "genus", "", "", ""), ("13", "Io", "genus", "nowhere", "", "")]
    first = open_index(write(tmp_path / "list.csv", rows))
    (home,) = kept(cache)
    when = built(home)
    (tmp_path / "other").mkdir()
    path = write(tmp_path / "other" / "list.csv", rows)
    second = open_index(path)
    assert [home] == kept(cache)
    assert built(home) == when
    assert_same(second, path)
    assert len(second.problems) >= 2
    assert {problem.file for problem in second.problems} == {str(path)}
    assert {problem.file for problem in first.problems} == {str(tmp_path / "list.csv")}


def test_how_the_columns_are_read_belongs_to_the_index(tmp_path: Path, cache: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("scientificName,spoken,known\nIo,moon worm,small worm\n", encoding="utf-8")
    for columns in ({"spoken": "vernacularName"}, {"known": "vernacularName"}, None) * 2:
        assert_same(open_index(path, columns=columns), path, columns)
    assert len(kept(cache)) == 3


def test_rules_belong_to_the_index(tmp_path: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path / "list.csv")
    open_index(path)
    before = kept(cache)
    monkeypatch.setattr(index_store, "_rules", lambda: "other word lists")
    assert_same(open_index(path), path)
    assert len(kept(cache)) == 1
    assert kept(cache) != before


def test_every_file_that_shapes_an_index_is_among_the_rules() -> None:
    with pytest.MonkeyPatch.context() as patch:
        seen: list[str] = []
        read = Path.read_bytes
        patch.setattr(Path, "read_bytes", lambda path: (seen.append(path.name), read(path))[1])
        index_store._rules.__wrapped__()
    room = Path(name_index.__file__).parent
    there = {path.name for path in [*room.glob("data/*.*"), *room.glob("*.py")]}
    assert set(seen) == there - set(index_store._ONLY_ASK)
    assert set(index_store._ONLY_ASK) < there
    shaping = "columns english_endings letter_trees name_signs plurals spoken_exceptions statuses"
    assert {*(f"{name}.csv" for name in shaping.split()), "sound_vectors.npz", "hearing.py"} <= set(seen)


FILES = sorted(
    [f"{name}.{part}.npy" for name in ("cells", "keys", "texts") for part in ("begin", "letters")]
    + [f"{name}.{part}" for name in ("exact", "epithets", "ids", "names") for part in ("begin.npy", "trie.trie")]
    + [f"arrays.{name}.npy" for name in ("graph", "sounds", "letters")]
    + ["meta.json", "taxon.parent.npy", "entry.rows.npy", "words.trie.trie"]
)


def halve(file: Path) -> None:
    file.write_bytes(file.read_bytes()[: file.stat().st_size // 2])


def empty(file: Path) -> None:
    file.write_bytes(b"")


def flip(file: Path) -> None:
    """One bit of the last byte but one, which belongs to the content of every kind of file."""
    data = bytearray(file.read_bytes())
    data[-2] ^= 1
    file.write_bytes(data)


def overwrite(file: Path) -> None:
    file.write_bytes(b"\xff" * file.stat().st_size)


@pytest.mark.parametrize("damage", [halve, empty, flip, overwrite, Path.unlink])
def test_a_damaged_index_is_built_anew(tmp_path: Path, cache: Path, damage: Callable[[Path], None]) -> None:
    path = write(tmp_path / "list.csv")
    open_index(path)
    (home,) = kept(cache)
    assert {file.name for file in home.iterdir()} >= set(FILES)
    whole = said(NameIndex(load_checklist(path)))
    for file in FILES:
        damage(home / file)
        before = {p.name: p.stat().st_ino for p in home.iterdir()}
        index = open_index(path)
        assert index.problems == index.checklist.problems
        assert said(index) == whole, file
        assert [home] == kept(cache)
        when = built(home)
        assert when[0] != before.get("meta.json"), file
        open_index(path)
        assert built(home) == when, file


def test_a_description_of_other_make_is_not_believed(tmp_path: Path, cache: Path) -> None:
    path = write(tmp_path / "list.csv")
    open_index(path)
    (home,) = kept(cache)
    for text in ("[]", "{}", "3", json.dumps({"check": 0, "key": "", "files": {}})):
        (home / "meta.json").write_text(text, encoding="utf-8")
        assert_same(open_index(path), path)
        assert "builtAt" in json.loads((home / "meta.json").read_text("utf-8"))


@pytest.mark.parametrize("squatter", ["file", "empty folder", "folder"])
def test_something_else_in_its_place_is_replaced(tmp_path: Path, cache: Path, squatter: str) -> None:
    path = write(tmp_path / "list.csv")
    open_index(path)
    (home,) = kept(cache)
    home.rename(tmp_path / "away")
    if squatter == "file":
        home.write_text("no index", encoding="utf-8")
    else:
        home.mkdir()
    if squatter == "folder":
        (home / "stray").write_text("no index", encoding="utf-8")
    assert_same(open_index(path), path)
    assert [home] == kept(cache)
    assert (home / "meta.json").exists()
    assert not (home / "stray").exists()


def test_rebuild_builds_anew_and_leaves_those_who_have_it_open_alone(tmp_path: Path, cache: Path) -> None:
    path = write(tmp_path / "list.csv")
    before = open_index(path)
    (home,) = kept(cache)
    when = built(home)
    assert_same(open_index(path, rebuild=True), path)
    assert [home] == kept(cache)
    assert built(home) != when
    assert_same(before, path)


BUILD = """
import sys, time
from pathlib import Path
from earwitness.taxonomy import open_index
Path(sys.argv[2]).touch()
while not Path(sys.argv[3]).exists():
    time.sleep(0.001)
for rebuild in (False, sys.argv[4] == "rebuild", False):
    index = open_index(sys.argv[1], rebuild=rebuild)
    print([*index.entries], index.similar("glas spunge"), index.problems, index.checklist.taxon(0))
"""


@pytest.mark.parametrize("how", ["once", "rebuild"])
def test_processes_that_build_at_once_all_end_well(tmp_path: Path, cache: Path, how: str) -> None:
    path = write(tmp_path / "list.csv")
    ready = [tmp_path / f"ready_{number}" for number in range(3)]
    go = tmp_path / "go"
    runs = [
        subprocess.Popen([sys.executable, "-c", BUILD, path, mine, go, how], stdout=subprocess.PIPE, text=True)
        for mine in ready
    ]
    while not all(mine.exists() for mine in ready) and all(run.poll() is None for run in runs):
        time.sleep(0.01)
    go.touch()
    told = [run.communicate()[0] for run in runs]
    assert [run.returncode for run in runs] == [0, 0, 0]
    index = NameIndex(load_checklist(path))
    line = [[*index.entries], index.similar("glas spunge"), index.problems, index.checklist.taxon(0)]
    assert told == [(" ".join(map(str, line)) + "\n") * 3] * 3
    assert len(kept(cache)) == 1
    assert_same(open_index(path), path)


def test_opening_needs_none_of_what_builds(tmp_path: Path, cache: Path) -> None:
    path = write(tmp_path / "list.csv")
    code = "import sys; from earwitness.taxonomy import open_index; open_index(sys.argv[1]).exact('glass sponge')"
    code += "; print('inflect' in sys.modules)"
    told = [subprocess.check_output([sys.executable, "-c", code, path], text=True).strip() for _ in range(2)]
    assert told == ["True", "False"]


def test_a_folder_that_cannot_be_made_is_noted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path / "list.csv")
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    monkeypatch.setenv("EARWITNESS_CACHE", str(tmp_path / "file" / "cache"))
    index = open_index(path)
    assert said(index) == said(NameIndex(load_checklist(path)))
    (note,) = index.problems[len(index.checklist.problems) :]
    assert (note.file, note.severity) == (str(tmp_path / "file" / "cache"), "noted")
    assert "EARWITNESS_CACHE" in str(note)
    assert os.strerror(errno.ENOTDIR) in note.reason


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="nothing is read-only for this user")
def test_a_read_only_cache_can_be_read(tmp_path: Path, cache: Path) -> None:
    path, other = write(tmp_path / "list.csv"), write(tmp_path / "other.csv", ROWS[:3])
    open_index(path)
    cache.chmod(0o555)
    try:
        assert_same(open_index(path), path)
        assert len(open_index(other).problems) == len(load_checklist(other).problems) + 1
    finally:
        cache.chmod(0o755)


def test_a_full_disk_is_noted_and_leaves_nothing(tmp_path: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path / "list.csv")

    def full(*_: Any, **__: Any) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(np, "save", full)
        index = open_index(path)
    assert said(index) == said(NameIndex(load_checklist(path)))
    assert os.strerror(errno.ENOSPC) in index.problems[-1].reason
    assert not kept(cache)
    assert_same(open_index(path), path)


def test_no_home_is_noted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def homeless() -> Path:
        raise RuntimeError("Could not determine home directory.")

    path = write(tmp_path / "list.csv")
    monkeypatch.setattr(index_store, "cache_folder", homeless)
    index = open_index(path)
    assert said(index) == said(NameIndex(load_checklist(path)))
    assert "home directory" in index.problems[-1].reason


def test_where_indexes_are_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """XDG Base Directory Specification 0.8: $XDG_CACHE_HOME if absolute, else $HOME/.cache."""
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(Path, "home", lambda: tmp_path / "me")
    monkeypatch.setenv("EARWITNESS_CACHE", str(tmp_path / "mine"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "xdg"))
    assert index_store.cache_folder() == tmp_path / "mine"
    monkeypatch.setenv("EARWITNESS_CACHE", "")
    assert index_store.cache_folder() == tmp_path / "xdg" / "earwitness"
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    assert index_store.cache_folder() == tmp_path / "me" / ".cache" / "earwitness"
    monkeypatch.delenv("EARWITNESS_CACHE")
    monkeypatch.delenv("XDG_CACHE_HOME")
    assert index_store.cache_folder() == tmp_path / "me" / ".cache" / "earwitness"
    monkeypatch.setattr(sys, "platform", "darwin")
    assert index_store.cache_folder() == tmp_path / "me" / "Library" / "Caches" / "earwitness"


def test_a_given_folder_comes_before_the_variable(tmp_path: Path, cache: Path) -> None:
    open_index(write(tmp_path / "list.csv"), folder=tmp_path / "here")
    assert len(kept(tmp_path / "here")) == 1
    assert not kept(cache)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_read_once_and_not_kept(tmp_path: Path, cache: Path) -> None:
    path = write(tmp_path / "list.csv")
    os.mkfifo(tmp_path / "pipe")
    writer = threading.Thread(target=(tmp_path / "pipe").write_bytes, args=[path.read_bytes()])
    writer.start()
    index = open_index(tmp_path / "pipe")
    writer.join()
    assert [*index.entries] == [*NameIndex(load_checklist(path)).entries]
    assert not kept(cache)


def test_a_missing_file_is_refused_as_by_the_loader(tmp_path: Path, cache: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        open_index(tmp_path / "none.csv")


META = """<archive xmlns="http://rs.tdwg.org/dwc/text/"><core rowType="http://rs.tdwg.org/dwc/terms/Taxon"
 fieldsTerminatedBy="," ignoreHeaderLines="1"><files><location>taxa.csv</location></files><id index="0"/>
 <field index="1" term="http://rs.tdwg.org/dwc/terms/scientificName"/></core></archive>"""


def test_an_archive_in_a_folder(tmp_path: Path, cache: Path) -> None:
    """Darwin Core text guide (dwc.tdwg.org/text): a metafile and the files it names."""
    path = tmp_path / "archive"
    path.mkdir()
    (path / "meta.xml").write_text(META, encoding="utf-8")
    for rows in ("1,Io\n2,\n", "1,Io\n2,\n3,Munida\n"):
        (path / "taxa.csv").write_text("id,scientificName\n" + rows, encoding="utf-8")
        for _ in range(2):
            assert_same(open_index(path), path)
            assert open_index(path).problems[0].file == f"{path}/taxa.csv"
        assert len(kept(cache)) == 1


def test_a_file_that_changes_while_it_is_loaded_is_not_kept(
    tmp_path: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write(tmp_path / "list.csv")

    def late(*_: Any, **__: Any) -> Any:
        write(path, ROWS[:2])
        return load_checklist(path)

    with monkeypatch.context() as patch:
        patch.setattr(index_store, "load_checklist", late)
        index = open_index(path)
    assert said(index) == said(NameIndex(load_checklist(path)))
    assert not kept(cache)


def test_more_arrays_are_kept_with_an_index(tmp_path: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path / "list.csv")
    calls = []

    def lengths(tables: name_index.NameIndexTables) -> dict[str, Any]:
        calls.append(1)
        return {"rows": np.array([len(key) for key in tables.keys], dtype=np.int16), "none": np.zeros((0, 3))}

    made = name_index.extra_arrays
    monkeypatch.setattr(name_index, "extra_arrays", lambda tables: made(tables) | lengths(tables))
    for index in (NameIndex(load_checklist(path)), open_index(path), open_index(path)):
        assert index.arrays["rows"].tolist() == [len(entry.key) for entry in index.entries]
        assert index.arrays["none"].shape == (0, 3)
    assert not index.arrays["rows"].flags.writeable
    assert len(calls) == 2
    assert_same(open_index(path), path)


def test_only_what_is_left_over_for_long_is_removed(tmp_path: Path, cache: Path) -> None:
    cache.mkdir()
    for name, age in ((".earwitness-1.part", 90_000), (".earwitness-2.part", 10), ("film.part", 90_000)):
        (cache / name).mkdir()
        os.utime(cache / name, (cache.stat().st_mtime - age,) * 2)
    (cache / "notes.txt").write_text("mine", encoding="utf-8")
    open_index(write(tmp_path / "list.csv"))
    names = [place.name for place in kept(cache)]
    assert names[0] == ".earwitness-2.part"
    assert names[1:] == sorted(["film.part", "notes.txt", *(name for name in names if name.startswith("list-"))])
    assert len(names) == 4


def test_what_an_index_tells_of_itself(tmp_path: Path, cache: Path) -> None:
    path = write(tmp_path / "list.csv")
    index = open_index(path)
    (home,) = kept(cache)
    meta = json.loads((home / "meta.json").read_text("utf-8"))
    keys = {entry.key for entry in index.entries}
    assert meta["file"] == str(path.resolve())
    assert meta["sha256"] == index.checklist.sha256
    assert meta["counts"] == {"taxa": len(ROWS), "names": len(index.entries), "keys": len(keys)}
    assert keys == {spoken_key(key) for key in keys}
