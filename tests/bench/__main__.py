"""`make bench`, or `python -m tests.bench PART ...`."""

from __future__ import annotations

import sys

from rich.console import Console

from tests.bench import (
    claims,
    context_rivals,
    doubt,
    hour,
    join,
    long_talk,
    lookup,
    names,
    narrations,
    prose,
    publish,
    review,
    review_crash,
    review_many,
    rivals,
    settling,
    speed,
    spoken_taxa,
    times,
)

PARTS = {
    "narrations": narrations.main,
    "claims": claims.main,
    "settling": settling.main,
    "names": names.main,
    "times": times.main,
    "hour": hour.main,
    "join": join.main,
    "speed": speed.main,
    "spoken": spoken_taxa.main,
    "prose": prose.main,
    "publish": publish.main,
    "review": review.main,
    "review_doubt": doubt.main,
    "review_crash": review_crash.main,
    "review_many": review_many.main,
    "rivals": rivals.main,
    "context_rivals": context_rivals.main,
    "long_talk": long_talk.main,
    "lookup": lookup.main,
}


def main() -> None:
    """Run the parts named on the command line, or all."""
    console = Console(width=170)
    for part in [arg for arg in sys.argv[1:] if not arg.startswith("-")] or PARTS:
        PARTS[part](console)


if __name__ == "__main__":
    main()
