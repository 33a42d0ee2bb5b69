"""The container as a living system: what nobody measured, and what comes next.

Importing this package costs nothing; its modules import numpy, so ask for them only when the model
runs. Start at `description` (what is known), then `simulate`, `estimates`, `colony`, `capacity`.
"""
