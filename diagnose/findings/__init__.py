"""From a case to observations: what was told, measured, derived from the log, and estimated."""

from diagnose.findings.observing import observe

__all__ = ["observe"]
