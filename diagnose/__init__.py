"""bowlside: why are they dying, and what to do in the next hour."""

__version__ = "0.1.0"
