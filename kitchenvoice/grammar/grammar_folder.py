"""Location of the grammar files: beside the package in a work tree, inside it when installed."""

from __future__ import annotations

from pathlib import Path

from kitchenvoice.errors import BadGrammar

__all__ = ["grammar_folder"]

_PACKAGE = Path(__file__).parents[1]


def grammar_folder() -> Path:
    """Return the folder of the grammar files. Raises: BadGrammar if there is none."""
    for folder in (_PACKAGE / "_grammars", _PACKAGE.parent / "grammars"):
        if (folder / "always.jsgf").is_file():
            return folder
    raise BadGrammar("The grammar files are missing. Install kitchenvoice again.")
