"""Checks of a rulebook before it runs: many small ones, each with a name and a way to mend it."""
