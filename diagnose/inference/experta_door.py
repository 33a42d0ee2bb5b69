"""The only place that imports experta.

experta 1.9.4 pins a `frozendict` that reads `collections.Mapping`, a name Python dropped in 3.10.
It is lent that name while it is imported; afterwards `collections` is as it was.
"""

from __future__ import annotations

import collections
import collections.abc
import logging

_root_had_handlers = bool(logging.getLogger().handlers)
_lent = not hasattr(collections, "Mapping")
if _lent:
    collections.Mapping = collections.abc.Mapping  # type: ignore[attr-defined]
try:
    from experta import Fact, InitialFact, KnowledgeEngine, P, Rule
    from experta.matchers import ReteMatcher
    from experta.matchers.rete.check import SameContextCheck, TypeCheck
    from experta.matchers.rete.nodes import ConflictSetNode, FeatureTesterNode, OrdinaryMatchNode
    from experta.matchers.rete.token import Token
    from experta.matchers.rete.utils import generate_checks
finally:
    if _lent:
        del collections.Mapping  # type: ignore[attr-defined]
if not _root_had_handlers:
    # experta calls logging.basicConfig() on import; a library must not write a keeper's screen
    # full.
    logging.getLogger().handlers.clear()

__all__ = [
    "ConflictSetNode",
    "Fact",
    "FeatureTesterNode",
    "InitialFact",
    "KnowledgeEngine",
    "OrdinaryMatchNode",
    "P",
    "ReteMatcher",
    "Rule",
    "SameContextCheck",
    "Token",
    "TypeCheck",
    "generate_checks",
]
