"""A matcher for experta that does only the work a change needs.

The stock matcher offers every fact to the branch of every fact type and asks every rule after
every change whether it has news. Here a fact goes straight to the branches of its own type, and
only rules that a change
reached are asked. The network itself is experta's own, so the same facts give the same firings
(tests hold it
to that).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from diagnose.inference.experta_door import (
    ConflictSetNode,
    FeatureTesterNode,
    OrdinaryMatchNode,
    ReteMatcher,
    SameContextCheck,
    Token,
    TypeCheck,
    generate_checks,
)


class TypedMatcher(ReteMatcher):  # type: ignore[misc]
    """experta's network, entered by fact type and polled by what changed."""

    def build_network(self) -> None:
        """Builds experta's network, then indexes its entrances and listens at its ends."""
        super().build_network()
        self._entrances: dict[type, list[Callable[[Any], None]]] = {}
        self._changed: dict[int, Any] = {}
        for child in self.root_node.children:
            check = child.node.matcher
            if not isinstance(check, TypeCheck):  # pragma: no cover
                raise TypeError("experta's network no longer starts with a check of the type.")
            self._entrances.setdefault(check.fact_type, []).extend(
                grandchild.callback for grandchild in child.node.children
            )
        self._listen(self.root_node, set())

    @staticmethod
    def prepare_ruleset(engine: Any) -> set[Any]:
        """The engine's rules as they are: each is already a plain conjunction of facts.

        experta would bring every rule into that form first, which takes longer than building the
        network.
        """
        return set(engine.get_rules())

    @staticmethod
    def build_alpha_part(ruleset: set[Any], root_node: Any) -> dict[Any, Any]:
        """One branch for each fact type, forking at each test and at each name rules give a fact.

        experta first ranks the tests by how many rules share them; here every pattern holds them in
        the one order type, value, name.
        """
        forks: dict[tuple[Any, Any], Any] = {}
        terminals: dict[Any, Any] = {}
        for rule in ruleset:
            for fact in rule:
                if fact in terminals:
                    continue
                node = root_node
                for check in generate_checks(fact):
                    fork = forks.get((node, check))
                    if fork is None:
                        fork = forks[node, check] = FeatureTesterNode(check)
                        node.add_child(fork, fork.activate)
                    node = fork
                terminals[fact] = node
        return terminals

    @staticmethod
    def build_beta_part(ruleset: set[Any], alpha_terminals: dict[Any, Any]) -> None:
        """Joins the facts of each rule from left to right, with experta's own nodes.

        experta's builder does the same for every kind of rule; for conjunctions this is all of it.
        """
        for rule in ruleset:
            node = alpha_terminals[rule[0]]
            for fact in rule[1:]:
                join = OrdinaryMatchNode(SameContextCheck())
                node.add_child(join, join.activate_left)
                right = alpha_terminals[fact]
                right.add_child(join, join.activate_right)
                node = join
            end = ConflictSetNode(rule)
            node.add_child(end, end.activate)

    def _listen(self, node: Any, seen: set[int]) -> None:
        if id(node) in seen:
            return
        seen.add(id(node))
        for index, child in enumerate(node.children):
            if isinstance(child.node, ConflictSetNode):
                node.children[index] = child._replace(callback=self._noting(child.node))
            else:
                self._listen(child.node, seen)

    def _noting(self, end: Any) -> Callable[[Any], None]:
        changed, activate = self._changed, end.activate

        def note(token: Any) -> None:
            changed[id(end)] = end
            activate(token)

        return note

    def changes(
        self, adding: Iterable[Any] | None = None, deleting: Iterable[Any] | None = None
    ) -> tuple[list[Any], list[Any]]:
        """Passes the changes on and returns the activations that came and went."""
        for fact in deleting or ():
            self._enter(fact, Token.invalid(fact))
        for fact in adding or ():
            self._enter(fact, Token.valid(fact))
        added: list[Any] = []
        removed: list[Any] = []
        for end in self._changed.values():
            came, went = end.get_activations()
            added.extend(came)
            removed.extend(went)
        self._changed.clear()
        return added, removed

    def _enter(self, fact: Any, token: Any) -> None:
        for callback in self._entrances.get(type(fact), ()):
            callback(token)
