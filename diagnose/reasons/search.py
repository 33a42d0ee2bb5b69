"""Finds pages by the words a keeper uses: for a sign, a habit or a cause."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.reasons.page import names_of, size_of
from diagnose.rulebook.terms import Cause, Evidence, Mechanism, Rulebook

#: How much a word counts by where it stands.
IN_TITLE, IN_SUMMARY, IN_REASON = 6.0, 2.0, 1.0
#: Only the best are shown.
MOST_HITS = 8
#: A page must come to this share of the best one to be shown.
LEAST_SHARE = 0.25
LONGEST_QUERY = 200
#: A word nobody uses is read as the likest known one, if this share of its letters fits.
LEAST_LIKENESS = 0.75
#: Causes named beside a mechanism that was found.
MOST_BEHIND = 4
STOP_WORDS: frozenset[str] = frozenset(
    (
        *("a", "an", "and", "are", "as", "at", "be", "by", "do", "for", "from", "had", "has"),
        *("have", "i", "in", "is", "it", "its", "my", "not", "of", "off", "on", "or", "so"),
        *("some", "that", "the", "their", "them", "they", "this", "to", "too", "up", "was"),
        *("were", "what", "when", "why", "with", "all", "after", "before", "no", "shrimp"),
        *("shrimps", "die", "died", "dies", "dying", "keep", "keeps"),
    )
)
_WORD = re.compile(r"[a-z0-9]+")
_ENDINGS = ("ings", "ing", "ness", "ies", "ied", "ed", "es", "s", "y")


@dataclass(frozen=True, slots=True)
class Hit:
    """A page that speaks of the words, and the sentence that matched best."""

    id: str
    title: str
    reason: str
    score: float


@dataclass(frozen=True, slots=True)
class _Passage:
    owner: str
    text: str
    words: frozenset[str]
    worth: float


def stems(text: str) -> frozenset[str]:
    """The words of a text without their endings, so that `topping` meets `topped`."""
    return frozenset(_stem(word) for word in _WORD.findall(text.lower()) if word not in STOP_WORDS)


def _stem(word: str) -> str:
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word.removesuffix(ending)
            break
    if len(word) > 3 and word[-1] == word[-2]:
        word = word[:-1]
    return word.removesuffix("e") if len(word) > 3 else word


def page_called(rulebook: Rulebook, words: str) -> str | None:
    """The page whose id or title is exactly this, or None."""
    plain = _plain(words)
    for item in _owners(rulebook):
        if plain in (_plain(item.id), _plain(item.title)):
            return item.id
    return None


def _owners(rulebook: Rulebook) -> list[Cause | Mechanism]:
    return [*rulebook.causes.values(), *rulebook.mechanisms.values()]


def _plain(text: str) -> str:
    return " ".join(_WORD.findall(text.lower()))


def search(rulebook: Rulebook, words: str) -> tuple[Hit, ...]:
    """Pages that speak of these words, best first. Rare words count more than common ones; a
    misspelt word is read as the nearest one the rulebook uses.

    Raises ValueError for a query that is longer than a sentence.
    """
    if len(words) > LONGEST_QUERY:
        raise ValueError(f"Search for a few words, not for {len(words)} characters of text.")
    passages = _passages(rulebook)
    known: dict[str, int] = {}
    for passage in passages:
        for word in passage.words:
            known[word] = known.get(word, 0) + 1
    asked = {_as_known(word, known) for word in stems(words)}
    weights = {
        word: math.log(1.0 + len(passages) / known[word]) for word in sorted(asked & known.keys())
    }
    if not weights:
        return ()
    best: dict[str, tuple[float, str]] = {}
    more: dict[str, float] = {}
    for passage in passages:
        met = [weights[word] for word in sorted(passage.words & weights.keys())]
        if not met:
            continue
        share = math.fsum(met) / math.fsum(weights.values())
        size = passage.worth * math.fsum(met) * share
        more[passage.owner] = more.get(passage.owner, 0.0) + 0.1 * size
        if size > best.get(passage.owner, (0.0, ""))[0]:
            best[passage.owner] = (size, passage.text)
    hits = [
        Hit(owner, _title(rulebook, owner), _with_causes(rulebook, owner, text), size + more[owner])
        for owner, (size, text) in best.items()
    ]
    hits.sort(key=lambda hit: (-hit.score, hit.id))
    return tuple(h for h in hits[:MOST_HITS] if h.score >= LEAST_SHARE * hits[0].score)


def _as_known(word: str, known: Iterable[str]) -> str:
    if word in known:
        return word
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    near = process.extractOne(
        word, sorted(known), scorer=OSA.normalized_similarity, score_cutoff=LEAST_LIKENESS
    )
    return near[0] if near else word


def _with_causes(rulebook: Rulebook, owner: str, text: str) -> str:
    """What was found, and for a mechanism the causes behind it, commonest first."""
    behind = [c for c in rulebook.causes.values() if owner in c.works_through]
    if not behind:
        return text
    names = [c.id for c in sorted(behind, key=lambda c: (-c.base_rate, c.id))]
    return f"{text} Causes behind it: {', '.join(names[:MOST_BEHIND])}."


def _title(rulebook: Rulebook, owner: str) -> str:
    found = rulebook.causes.get(owner) or rulebook.mechanisms[owner]
    return found.title


def _passages(rulebook: Rulebook) -> list[_Passage]:
    """All that can be searched: titles, summaries, and each argument with the observation it looks
    at. What speaks against a page is not searched: it would lead away from what was seen.
    """
    found = []
    for item in _owners(rulebook):
        found.append(_passage(item.id, item.summary, f"{item.id} {item.title}", IN_TITLE))
        found.append(_passage(item.id, item.summary, item.summary, IN_SUMMARY))
        for evidence in item.evidence:
            if size_of(evidence) > 0 and not _of_absence(evidence):
                worth = IN_REASON * (1.0 + size_of(evidence) / 6.0)
                text = _looked_at(rulebook, evidence)
                found.append(_passage(item.id, evidence.because, text, worth))
    return found


def _of_absence(evidence: Evidence) -> bool:
    """Whether an argument rests on something that is not there: nobody searches for that."""
    leaves = [leaf for way in evidence.when for leaf in way]
    return all(leaf.words == ("absent",) for leaf in leaves)


def _passage(owner: str, shown: str, text: str, worth: float) -> _Passage:
    return _Passage(owner, shown, stems(text), worth)


def _looked_at(rulebook: Rulebook, evidence: Evidence) -> str:
    """An argument with the words of what it looks at: question, names, and the answer it needs."""
    parts = [evidence.because]
    for way in evidence.when:
        for leaf in way:
            term = rulebook.vocabulary.get(leaf.name)
            if term is not None:
                parts += [leaf.name.replace("_", " "), term.asks, *term.also]
                parts += [" ".join(term.said_as.get(word, ())) for word in leaf.words]
                parts += [text for word, text in term.choices.items() if word in leaf.words]
    return " ".join(parts)


def observations_about(rulebook: Rulebook, words: str) -> tuple[str, ...]:
    """Names of the vocabulary's questions that speak of these words, best first."""
    asked = stems(words)
    found = []
    for term in rulebook.vocabulary.values():
        text = f"{term.name.replace('_', ' ')} {term.asks} {' '.join(term.choices.values())}"
        met = asked & stems(text)
        if met:
            close = len(met) / len(asked) + 0.5 * len(asked & stems(term.name.replace("_", " ")))
            found.append((-close, term.name))
    return tuple(name for _, name in sorted(found))


def mentions(rulebook: Rulebook, name: str) -> tuple[str, ...]:
    """The pages whose arguments look at an observation."""
    owners = [e.owner for e in rulebook.evidence() if name in names_of(e)]
    return tuple(dict.fromkeys(owners))
