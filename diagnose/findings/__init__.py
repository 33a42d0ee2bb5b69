"""From a case to observations: told, measured, derived from the log and the chemistry."""

from diagnose.findings.observe import observe

__all__ = ["observe"]
