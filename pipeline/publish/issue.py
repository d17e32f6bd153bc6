"""A run's folder comes in, files of a publication go out: all of them, or none.

    publish("dive_draft", [DARWIN_CORE_ARCHIVE], "dive_published", Options(), "publication.toml")

Everything is made aside, in the folder it goes to, and moved in at the end; `publication.json`, which says what was
exported with which options, comes last. Refuses to write a format that archives take without a licence and a rights
holder, and to write over the run itself.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from earwitness.pipeline.people import check_key, refuse_key_within
from earwitness.pipeline.publish.choose import chosen
from earwitness.pipeline.publish.metadata import Publication, read_publication
from earwitness.pipeline.publish.options import Options
from earwitness.pipeline.publish.publisher import Edition, Publisher
from earwitness.pipeline.publish.run_folder import RunFolder, read_run, refuse_missing
from earwitness.pipeline.publish.statements import CAUTION, DRAFT_STATEMENT, is_reviewed
from earwitness.pipeline.publish.track import run_track
from earwitness.schemas import InputError, Problem

MANIFEST = "publication.json"
_EXAMPLE = "fixtures/quillmere_canyon/publication.toml is an example"


@dataclass(frozen=True, slots=True)
class Issue:
    """What was written, and where."""

    edition: Edition
    files: tuple[Path, ...]
    manifest: Path


def make_edition(
    run: RunFolder, options: Options, publication: Publication | None = None, *, with_track: bool = True
) -> Edition:
    """The rows as they may go out.

    Raises:
        InputError: no row is left.
    """
    if options.pseudonyms:
        check_key(options.pseudonyms)
        refuse_key_within(options.pseudonyms, run.folder)
    rows, left_out = chosen(run, options)
    track, problems = run_track(run.run, options) if with_track else ((), ())
    return Edition(tuple(rows), run.run, options, publication, track, run.folder, dict(left_out), problems)


def publish(
    out: str | Path,
    publishers: Sequence[Publisher],
    to: str | Path,
    options: Options | None = None,
    publication: str | Path | None = None,
    watch: Callable[[str], None] = lambda _: None,
    database: str | None = None,
) -> Issue:
    """Publish a finished run.

    Args:
        out: the run's folder.
        publishers: the formats.
        to: the folder for the files, made if it is not there; or, for one format that is a file, the file.
        options: how rows are chosen and changed.
        publication: TOML file with the metadata (see `read_publication`).
        watch: called with what is being done.
        database: where people's decisions are (see `read_run`).

    Raises:
        InputError: something that was given cannot be used; nothing has been written.
    """
    options = options or Options()
    target = Path(to)
    names = [publisher.name for publisher in publishers]
    if not publishers or len(set(names)) < len(names):
        raise InputError(Problem("--as", 0, "no format, or one of them twice", "each format once"))
    refuse_missing(out)
    _refuse_unlicensed(publishers, publication)
    metadata = read_publication(publication) if publication else None
    folder, file = _place(Path(out), target, publishers)
    if options.pseudonyms:
        refuse_key_within(options.pseudonyms, folder)
    watch("Reading the run")
    run = read_run(out, database)
    edition = _remarked(make_edition(run, options, metadata), publishers)
    made = _make_folder(folder)
    aside: Path | None = None
    try:
        aside = Path(tempfile.mkdtemp(prefix=".earwitness-", dir=folder))
        for publisher in publishers:
            watch(f"Writing {publisher.name}")
            publisher.write(edition, aside / publisher.target)
        finals = [file or folder / publisher.target for publisher in publishers]
        manifest = folder / (f"{file.stem}.{MANIFEST}" if file else MANIFEST)
        told = _manifest(run, edition, publishers, [aside / p.target for p in publishers], finals)
        (aside / MANIFEST).write_text(json.dumps(told, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
        for publisher, final in zip(publishers, finals, strict=True):
            _move(aside / publisher.target, final, aside)
        _move(aside / MANIFEST, manifest, aside)
    except OSError as error:
        reason = f"cannot be written ({error.strerror or error})"
        raise InputError(Problem(str(to), 0, reason, "a folder to write to, on a disk with room")) from error
    finally:
        if aside:
            shutil.rmtree(aside, ignore_errors=True)
        for empty in reversed(made):
            if empty.is_dir() and not any(empty.iterdir()):
                empty.rmdir()
    return Issue(edition, tuple(finals), manifest)


def _remarked(edition: Edition, publishers: Sequence[Publisher]) -> Edition:
    """The edition with what its formats will lack, each told once."""
    found = dict.fromkeys(problem for publisher in publishers for problem in publisher.remarks(edition))
    return replace(edition, problems=(*edition.problems, *found))


def _refuse_unlicensed(publishers: Sequence[Publisher], publication: str | Path | None) -> None:
    archival = [publisher.name for publisher in publishers if publisher.archival]
    if archival and not publication:
        reason = f"{', '.join(archival)} is for archives: it needs a licence, a rights holder and who to ask"
        raise InputError(Problem("--publication", 0, reason, f"a TOML file that tells them; {_EXAMPLE}"))


def _place(out: Path, to: Path, publishers: Sequence[Publisher]) -> tuple[Path, Path | None]:
    """The folder to write into, and the file where one was named."""
    suffix = Path(publishers[0].target).suffix
    named = bool(suffix) and to.suffix.lower() == suffix and not to.is_dir()
    if named and len(publishers) > 1:
        raise InputError(Problem(str(to), 0, "is one file for several formats", "a folder"))
    folder, file = (to.parent, to) if named else (to, None)
    if folder.resolve() == out.resolve():
        reason = "is the run's own folder, whose files would be replaced"
        raise InputError(Problem(str(to), 0, reason, "another folder"))
    if not named and to.exists() and not to.is_dir():
        raise InputError(Problem(str(to), 0, "is a file", "a folder to write into"))
    return folder, file


def _make_folder(folder: Path) -> list[Path]:
    """Make a folder and those above it; which of them were not there."""
    lacking = [path for path in (folder, *folder.parents) if not path.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = f"cannot write here ({error.strerror})"
        raise InputError(Problem(str(folder), 0, reason, "a folder to write to")) from error
    return lacking[::-1]


def _move(new: Path, final: Path, aside: Path) -> None:
    """Put a file or folder in its place; what was there goes with the folder aside."""
    if final.is_dir() and not final.is_symlink():
        final.rename(aside / f"old-{final.name}")
    new.replace(final)


def _manifest(
    run: RunFolder, edition: Edition, publishers: Sequence[Publisher], made: Sequence[Path], finals: Sequence[Path]
) -> dict[str, Any]:
    kinds = Counter(row["recordKind"] for row in edition.rows)
    metadata = edition.publication
    return {
        "software": "earwitness",
        "softwareVersion": run.run["softwareVersion"],
        "statement": f"{DRAFT_STATEMENT[0].upper()}{DRAFT_STATEMENT[1:]}, except where a person has reviewed the row.",
        "caution": CAUTION,
        "licence": metadata.licence.address if metadata else None,
        "rightsHolder": metadata.rights_holder if metadata else None,
        "eventsSha256": run.sha256,
        "options": edition.options.told(),
        "rows": {"exported": len(edition.rows), "reviewed": sum(map(is_reviewed, edition.rows)), **kinds},
        "leftOut": dict(edition.left_out),
        "files": [
            {"format": publisher.name, "name": final.name, "sha256": _hash(path)}
            for publisher, path, final in zip(publishers, made, finals, strict=True)
        ],
    }


def _hash(path: Path) -> str | None:
    """SHA-256 of a file; a folder has none."""
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else None
