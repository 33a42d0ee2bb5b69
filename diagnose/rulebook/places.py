"""Where the bundled rulebook and cases lie: inside the installed package, or beside it in a
working copy.
"""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parents[1]


def bundled(name: str) -> Path:
    """The folder `knowledge` or `cases`. Raises FileNotFoundError if the installation is
    incomplete.
    """
    for folder in (_PACKAGE / "bundled" / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"The folder `{name}` is missing: install bowlside again.")
