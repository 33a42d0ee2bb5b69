"""Chemistry and physics of small fresh waters: pure functions, one published formula each.

Every function names its source, states the limits within which it holds and raises
`diagnose.water.limits.OutOfRange` outside them. Nothing here reads a file or a clock.
"""
