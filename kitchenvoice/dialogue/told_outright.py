"""What single words tell outright of a weight, whatever else is made of the sentence: it is asked about at once."""

from __future__ import annotations

from kitchenvoice.dialogue import doubting
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.process import Load
from kitchenvoice.reference.nearness import asks

__all__ = ["ask_outright"]

_WEIGHTS = (5, 10, 15)


def ask_outright(talk: Talk, text: str) -> bool:
    """Ask about what a typed statement tells outright; tell whether it does."""
    said = without_name(talk, text)
    if not talk.written or asks(said):
        return False
    under = [load for load in talk.kitchen.open_loads if _is_of_another_weight(talk, said, load)]
    doubting.keep(talk, "of_weight", under, said, now=True)
    return bool(under)


def _is_of_another_weight(talk: Talk, text: str, load: Load) -> bool:
    """True if a load rocks, and a text tells of a weight that isn't its own by all that it names."""
    named = [psi for psi in _WEIGHTS if talk.language.names_one([psi], text)]
    rocks = load.holding and load.process.watched == "weighted"
    return rocks and talk.language.hears("of_weight", text) and named != [load.process.target_psi]
