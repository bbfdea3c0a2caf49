"""Notes in the cook's own words, kept beside a load as they were typed: no grammar, so nothing of them is acted on."""

from __future__ import annotations

import re

from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.language import Language

__all__ = ["typed_note"]


def typed_note(text: str, language: Language) -> Understanding | None:
    """Return what "note: a bit too much salt" means, the words as they stand; `None` if no note begins here."""
    words = "|".join(map(re.escape, language.choices("note", "words")))
    after = "|".join(map(re.escape, language.choices("note", "after")))
    found = re.match(
        rf"(?:{words})(?:\s*:|\s+(?:{after})\b)\s*(?P<text>\S.*)$", text.strip(), re.IGNORECASE | re.DOTALL
    )
    if found is None:
        return None
    kept = "".join(letter if letter.isprintable() else " " for letter in found["text"]).strip()
    return Understanding(text, "note", {"text": kept}, 1.0)
