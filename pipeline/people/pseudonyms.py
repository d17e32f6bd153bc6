"""Finished rows come in, the same rows with pseudonyms for people's names and speakers' labels go out.

    said = people_of("dive", doc, mentions, find_people(doc, None, mentions))
    key = extend_key("pseudonyms.csv", said.entries)
    disguised = Disguise(said, key, mention_rows)
    disguised.events(event_rows), disguised.mentions(), disguised.text("Maud said so")

A name that is known for the recording, or stands in the key, is replaced wherever it stands as a whole word, in
capitals or not, whether or not that saying was found to be a person's. What an animal is called stays: a word of a
mention that is not a person's. A name that is an everyday word as well ("Mark", "Coral", "Limpet") stays in small
letters in a text that has capitals, and a very common one ("will", "may") in any text without them, except where it
was found to be a person's. Places of words (beginsAt, endsAt) are those in the new text. IDs, paths and names of
recordings are left as they are: files are found by them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from spacy.tokens import Doc
from wordfreq import zipf_frequency

from earwitness.pipeline.mention import Mention
from earwitness.pipeline.people.edits import Edit, EditedText
from earwitness.pipeline.people.find import PersonName
from earwitness.pipeline.people.key import folded
from earwitness.pipeline.people.labels import given_names, names_in_label, never_names, speaker_labels
from earwitness.pipeline.people.said_words import said_words
from earwitness.pipeline.segment import UTTERANCES, times_of
from earwitness.schemas import Problem

Row = dict[str, Any]
_WORD = 3.0
"""Zipf frequency from which a name that is no given name may be another word too ("shrimp" 3.8). A choice."""
_OFTEN = 4.0
"""Zipf frequency from which a word with a capital may begin a sentence ("mark" 5.1, "pell" 3.1). A choice."""
_COMMON = 4.6
"""Zipf frequency from which a word without a capital most often means itself ("will", "mark"). A choice."""
_NO_ANIMAL = ("person", "figure")
_SPOKEN = ("behavior", "colour", "positionInFrame", "habitat", "sampleContainer", "sizeMethod", "identificationRemarks")
"""Columns of events that may quote the talk."""


@dataclass(frozen=True)
class RecordingPeople:
    """Who is named in a recording, and where.

    Args:
        recording_id: of the recording.
        text: its whole talk.
        utterances: first and last character [begin, end) and second of each.
        mentions: characters [begin, end) of each mention, in the order of their rows.
        sayings: characters [begin, end) that were found to be a person's name.
        names: names known for the recording, as written.
        labels: its speakers' labels.
        capitals: whether capitals tell anything in the text.
    """

    recording_id: str
    text: str
    utterances: tuple[tuple[int, int, float, float], ...]
    mentions: tuple[tuple[int, int], ...]
    sayings: tuple[tuple[int, int], ...]
    names: tuple[str, ...]
    labels: tuple[str, ...]
    capitals: bool

    @property
    def entries(self) -> tuple[str, ...]:
        """What needs a pseudonym: speakers first, in the order in which they speak, then who is spoken of."""
        return tuple(dict.fromkeys([*map(entry_of, self.labels), *self.names]))


def people_of(
    recording_id: str, doc: Doc, mentions: Sequence[Mention], people: Sequence[PersonName]
) -> RecordingPeople:
    """Gather what `Disguise` needs from a Doc."""
    times = times_of(doc)
    labels = speaker_labels(doc)
    names = [entry_of(label) for label in labels if names_in_label(label)]
    names += [person.name for person in people]
    parts = [part for name in names for part in name.split()]
    return RecordingPeople(
        recording_id,
        doc.text,
        tuple(
            (span.start_char, span.end_char, float(times.start[span.start]), float(times.end[span.end - 1]))
            for span in doc.spans[UTTERANCES]
        ),
        tuple((doc[m.start].idx, doc[m.start : m.end].end_char) for m in mentions),
        tuple((doc[p.start].idx, doc[p.start : p.end].end_char) for p in people),
        tuple(dict.fromkeys([*names, *parts])),
        labels,
        any(word.capital for word in said_words(doc)),
    )


def entry_of(label: str) -> str:
    """What stands in the key for a speaker's label: the name in it, or the label ("S1", "Pilot") as it is."""
    return " ".join(names_in_label(label)) or label


class Disguise:
    """One recording's rows with pseudonyms.

    Args:
        said: who is named in it.
        key: pseudonyms by name in small letters, those of `said.entries` among them (see `extend_key`).
        mention_rows: its mention rows, one for each of `said.mentions`.
    """

    def __init__(self, said: RecordingPeople, key: Mapping[str, str], mention_rows: Sequence[Row]):
        self.said, self.key, self.rows = said, key, mention_rows
        self._own = {folded(name) for name in said.names}
        names = [name for name in key if name in self._own or not _is_code(name)]
        self._names = names
        self._pattern = _pattern(names)
        self._edited = EditedText(said.text, list(self._edits(said.text, said.sayings, self._animals())))

    def _animals(self) -> list[tuple[int, int]]:
        """Characters that call an animal by its name, and no person."""
        kept = []
        people = _marks(self.said.text, self.said.sayings)
        for span, row in zip(self.said.mentions, self.rows, strict=True):
            # A name that was only misheard for a taxon's, and came to nothing, hides nobody's animal.
            idle = row["matchedHow"] == "similar" and row["eventID"] is None
            if row["status"] not in _NO_ANIMAL and not idle and not any(people[slice(*span)]):
                kept.append(span)
        return kept

    def _edits(
        self, text: str, sayings: Sequence[tuple[int, int]], animals: Sequence[tuple[int, int]]
    ) -> Iterable[Edit]:
        people, kept = _marks(text, sayings), _marks(text, animals)
        for match in self._pattern.finditer(text) if self._pattern else ():
            start, end = match.span()
            name = self._name(match.group())
            if any(people[start:end]) or not (any(kept[start:end]) or self._means_itself(name, match.group())):
                yield Edit(start, end, self.key[name])
            elif " " in name:
                # "Bertha Limpet" with the animal in it: Bertha is hidden still.
                for word in re.finditer(r"\S+", match.group()):
                    first, last = start + word.start(), start + word.end()
                    if folded(word.group()) in self.key and not any(kept[first:last]):
                        yield Edit(first, last, self.key[folded(word.group())])

    def _name(self, written: str) -> str:
        """The name that was met; a few letters are alike to a pattern but not in small letters ("ſ" and "s")."""
        name = folded(written)
        if name in self.key:
            return name
        return next(n for n in self._names if (pattern := _pattern([n])) and pattern.fullmatch(written))

    def _means_itself(self, name: str, written: str) -> bool:
        """Whether a name that was not found to be a person's here may be the everyday word."""
        if not is_everyday_name(name):
            return False
        frequency = zipf_frequency(name, "en")
        if name not in self._own:
            # Somebody of another recording: only a capital says that the name is meant.
            return not self.said.capitals or written.islower() or frequency >= _OFTEN
        return written.islower() if self.said.capitals else frequency >= _COMMON

    def speaker(self, label: str | None) -> str | None:
        """The pseudonym of a speaker."""
        return None if label is None else self.key[folded(entry_of(label))]

    def text(self, text: str, keep: Iterable[str] = ()) -> str:
        """Some other text with pseudonyms; the words of `keep` are an animal's there."""
        if not self._pattern or not self._pattern.search(text):
            return text
        kept = _pattern(sorted({word for word in keep if word}))
        animals = [match.span() for match in kept.finditer(text)] if kept else []
        return EditedText(text, list(self._edits(text, (), animals))).new

    def problem(self, problem: Problem) -> Problem:
        """A problem of this recording's transcript, which may quote it."""
        return replace(problem, reason=self.text(problem.reason), expected=self.text(problem.expected))

    def mentions(self) -> list[Row]:
        """The mention rows, with places in the new text."""
        return [self._mention(*pair) for pair in zip(self.said.mentions, self.rows, strict=True)]

    def _mention(self, span: tuple[int, int], row: Row) -> Row:
        edited = self._edited
        utterance = span[0] - row["beginsAt"]
        shift = edited.begin(utterance)
        taxa = _taxa(row)
        cues = [
            {
                **cue,
                "words": edited.cut(utterance + cue["beginsAt"], utterance + cue["endsAt"]),
                "beginsAt": edited.begin(utterance + cue["beginsAt"]) - shift,
                "endsAt": edited.end(utterance + cue["endsAt"]) - shift,
                "did": self.text(cue["did"], taxa),
            }
            for cue in row["cues"]
        ]
        renamed = {old["words"]: new["words"] for old, new in zip(row["cues"], cues, strict=True)}
        return row | {
            "utteranceText": edited.cut(utterance, utterance + len(row["utteranceText"])),
            "beginsAt": edited.begin(span[0]) - shift,
            "endsAt": edited.end(span[1]) - shift,
            "speaker": self.speaker(row["speaker"]),
            "verbatimIdentification": edited.cut(*span),
            "certaintyCues": [renamed.get(cue) or self.text(cue, taxa) for cue in row["certaintyCues"]],
            "cues": cues,
        }

    def utterances(self, rows: Sequence[Row]) -> list[Row]:
        """The utterance rows, one for each of `said.utterances`, with places of words in the new text."""
        return [self._utterance(*pair) for pair in zip(self.said.utterances, rows, strict=True)]

    def _utterance(self, place: tuple[int, int, float, float], row: Row) -> Row:
        begin, end, *_ = place
        edited, shift = self._edited, self._edited.begin(begin)
        words = [
            [edited.begin(begin + first) - shift, edited.end(begin + last) - shift, *times]
            for first, last, *times in row["words"]
        ]
        # A name of two words gives way to one pseudonym: its words share a place.
        kept = [word for number, word in enumerate(words) if not number or word[:2] != words[number - 1][:2]]
        return row | {"text": edited.cut(begin, end), "speaker": self.speaker(row["speaker"]), "words": kept}

    def events(self, rows: Sequence[Row]) -> list[Row]:
        """The event rows."""
        return [self._event(row) for row in rows]

    def _event(self, row: Row) -> Row:
        taxa = _taxa(row)
        steps = [
            {
                **step,
                "speaker": self.speaker(step["speaker"]),
                "verbatimIdentification": self._verbatim(row["eventID"], step["verbatimIdentification"]),
            }
            for step in row["determinations"]
        ]
        verbatim = row["verbatimIdentification"]
        return row | {
            "transcriptText": self._transcript(row),
            "speaker": self.speaker(row["speaker"]),
            "verbatimIdentification": verbatim and self._verbatim(row["eventID"], verbatim),
            "previousIdentifications": self._previous(row["previousIdentifications"]),
            "determinations": steps,
            "certaintyCues": [self.text(cue, taxa) for cue in row["certaintyCues"]],
            **{column: row[column] and self.text(row[column], taxa) for column in _SPOKEN if column in row},
        }

    @cached_property
    def _verbatims(self) -> dict[tuple[str | None, str], str]:
        pairs = zip(self.said.mentions, self.rows, strict=True)
        return {(row["eventID"], row["verbatimIdentification"]): self._edited.cut(*span) for span, row in pairs}

    def _verbatim(self, event: str, words: str) -> str:
        return self._verbatims.get((event, words)) or self.text(words)

    def _previous(self, text: str | None) -> str | None:
        """Speakers stand there before a time: "Munida sarsi (Maud, 12.500 s, then corrected)"."""
        labels = "|".join(re.escape(label) for label in sorted(self.said.labels, key=len, reverse=True))
        if not text or not labels:
            return text
        who = re.compile(rf"\(({labels})(?=, \d+\.\d{{3}} s, )")
        return who.sub(lambda found: f"({self.speaker(found[1])}", text)

    @cached_property
    def _utterances(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for number, (begin, end, _, _) in enumerate(self.said.utterances):
            found.setdefault(self.said.text[begin:end], []).append(number)
        return found

    def _transcript(self, row: Row) -> str:
        """The row's utterances: the same words said at different times may have become different ones."""
        parts = row["transcriptText"].split(" | ")
        new, at = [], 0
        while at < len(parts):
            joined = (" | ".join(parts[at:end]) for end in range(at + 1, len(parts) + 1))
            size, text = next(((n, t) for n, t in enumerate(joined, start=1) if t in self._utterances), (1, parts[at]))
            numbers = self._utterances.get(text)
            new.append(self._edited.cut(*self._nearest(numbers, row)) if numbers else self.text(text, _taxa(row)))
            at += size
        return " | ".join(new)

    def _nearest(self, numbers: list[int], row: Row) -> tuple[int, int]:
        def distance(number: int) -> float:
            _, _, start, end = self.said.utterances[number]
            return max(start - float(row["endTime"]), float(row["startTime"]) - end, 0.0)

        begin, end, _, _ = self.said.utterances[min(numbers, key=distance)]
        return begin, end


def is_everyday_name(name: str) -> bool:
    """Whether a name in small letters may mean something else as well ("mark", "coral", "limpet")."""
    given = given_names()
    return " " not in name and given.get(name, zipf_frequency(name, "en") >= _WORD)


def _is_code(name: str) -> bool:
    """Whether an entry of the key is a label that names nobody ("s1", "pilot"): it stands in no talk as a name."""
    return any(c.isdigit() for c in name) or all(w in never_names() or len(w) < 2 for w in re.findall(r"\w+", name))


def _taxa(row: Row) -> list[str]:
    """Names of taxa in a row: their words are no person's there."""
    listed = [row, *row["alternatives"], *row.get("determinations", ())]
    names = [part.get(column) for part in listed for column in ("scientificName", "matchedName", "vernacularName")]
    return [name for name in names if name]


def _pattern(names: Sequence[str]) -> re.Pattern[str] | None:
    """Whole words, the longest name first, whatever blanks and apostrophes they are written with."""
    if not names:
        return None
    forms = []
    for name in sorted(names, key=lambda n: (-len(n), n)):
        form = r"\s+".join(re.escape(word) for word in name.split())
        forms.append(form.replace("'", "['’]").replace("’]’]", "’]"))
    return re.compile(rf"(?<!\w)(?:{'|'.join(forms)})(?!\w)", re.IGNORECASE)


def _marks(text: str, spans: Sequence[tuple[int, int]]) -> bytearray:
    marks = bytearray(len(text))
    for start, end in spans:
        marks[start:end] = b"\x01" * (end - start)
    return marks
