"""How long a story takes to read against one inference, and how the time grows with its length.

The stories are those of `tests/stories` that the lexicon was made on, put one after another up to
each length. reading against inference: the median time to read 2,000 characters over the median
time that one inference takes as the command runs it (a network of the rules that the known
observations of a worked case can reach). Both are timed in turns, in one run. The growth is the
time for each length over that for half of it: 2 if the cost is linear.

Run: python -m tests.benchmarks.bench_story [ROUNDS]
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from datetime import datetime
from itertools import cycle, islice, pairwise

from diagnose.findings.observed_case import observed_case
from diagnose.inference.engine import Inference
from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from diagnose.story.lexicon import load_lexicon
from diagnose.story.reader import LONGEST_READ, read_story
from tests.stories.score import READ_BEFORE, half
from tests.worked_files import worked_files

ROUNDS, STORY_CHARACTERS = 5, 2_000
LENGTHS = (1_000, STORY_CHARACTERS, 4_000, 8_000, 16_000)
ASKED = datetime(2026, 3, 14, 22, 30)
#: So many texts of the wanted length, each beginning with another story, so that none is special.
TEXTS = 8


def seconds(run: Callable[[], object]) -> float:
    """Wall time of one call."""
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def main() -> None:
    """Prints medians, the ratio and the growth."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    rulebook = load_rulebook(bundled("knowledge"))
    start = time.perf_counter()
    lexicon = load_lexicon(
        [bundled("knowledge")],
        rulebook.vocabulary,
        rulebook.species.values(),
        rulebook.companions.values(),
    )
    loading = time.perf_counter() - start
    stories = [told.text for name in READ_BEFORE for told in half(name, rulebook)]
    cases = [list(observed_case(f, rulebook, now=ASKED).observations) for f in worked_files()]
    cases = cases[:: max(1, len(cases) // TEXTS)]

    def text_of(length: int, first: int) -> str:
        rows = islice(cycle(stories), first, first + length // 50)
        return "\n\n".join(rows)[:length]

    assert max(LENGTHS) <= LONGEST_READ
    reading: dict[int, list[float]] = {length: [] for length in LENGTHS}
    inferring: list[float] = []

    def read(text: str) -> object:
        return read_story(text, lexicon, rulebook.vocabulary, ASKED)

    read(text_of(max(LENGTHS), 0))
    for _ in range(rounds):
        for case in cases:
            inferring.append(
                seconds(lambda case=case: Inference(rulebook, [o.name for o in case]).run(case))
            )
        for length in LENGTHS:
            for first in range(TEXTS):
                text = text_of(length, first * 7)
                reading[length].append(seconds(lambda text=text: read(text)))
    median = {length: statistics.median(found) for length, found in reading.items()}
    one = statistics.median(inferring)
    print(f"{len(stories)} stories, {len(cases)} cases, {rounds} rounds")
    print(f"loading the lexicon once                 {loading * 1000:8.2f} ms")
    print(f"one inference                            {one * 1000:8.2f} ms")
    for length, found in median.items():
        print(f"reading {length:6d} characters                {found * 1000:8.2f} ms")
    print(f"2,000 characters take {median[STORY_CHARACTERS] / one:.2f} times one inference")
    for shorter, longer in pairwise(LENGTHS):
        print(f"{longer} against {shorter} characters: {median[longer] / median[shorter]:.2f}")


if __name__ == "__main__":
    main()
