"""What would have fired, had one thing not been known."""

from __future__ import annotations

from diagnose.inference.engine import Argument, Inference, Trace
from diagnose.rulebook.terms import Evidence


def trace_without(trace: Trace, name: str, inference: Inference) -> Trace:
    """What would have fired had `name` been unknown. `inference` holds the rules of this trace.

    A rule falls away when each way of meeting it needs something that is then unknown; where
    another way is left that might be met, the engine runs again. The trace itself comes back
    where nothing rests on the name.
    """
    gone = {name}
    known = {*trace.observations, *trace.conditions} - gone
    fallen: set[str] = set()
    waiting = True
    while waiting:
        waiting = False
        for key, firing in (*trace.conditions.items(), *trace.evidence.items()):
            if key in fallen or gone.isdisjoint(firing.names):
                continue
            if _another_way(firing.argument, known):
                return inference.run(o for o in trace.observations.values() if o.name != name)
            fallen.add(key)
            if key in trace.conditions:
                gone.add(key)
                known.discard(key)
                waiting = True
    if not fallen:
        return trace
    return Trace(
        {key: item for key, item in trace.observations.items() if key != name},
        {key: firing for key, firing in trace.conditions.items() if key not in fallen},
        {key: firing for key, firing in trace.evidence.items() if key not in fallen},
    )


def _another_way(argument: Argument, known: set[str]) -> bool:
    """Whether all that some way of meeting it asks for is known."""
    if isinstance(argument, Evidence) and argument.curve and argument.curve.over not in known:
        return False
    return any(all(leaf.name in known for leaf in way) for way in argument.when)
