"""Another language: its grammars in `grammars/<language>/`, its sentences in `dialogue/texts/<language>.toml`.

English is complete and the default. Another one has the core commands; what it lacks is said in English.
"""

from __future__ import annotations

from dataclasses import replace

from kitchenvoice.dialogue.grammar import GrammarBook, grammar_folder
from kitchenvoice.dialogue.texts import load_texts
from kitchenvoice.errors import BadInput, ModelMissing
from kitchenvoice.profile import LANGUAGES, Profile, canner_names

__all__ = ["book_for", "demand_model", "in_language"]

_ENGLISH = "en"


def in_language(profile: Profile, language: str | None) -> Profile:
    """Return the profile in a language, with its attention words and voice where none of her own are set.

    Raises: BadInput for a language that isn't there.
    """
    chosen = language or profile.language
    if chosen not in LANGUAGES:
        raise BadInput(f"There are no sentences in {chosen}. There are: {', '.join(LANGUAGES)}.")
    profile = replace(profile, language=chosen)
    if chosen == _ENGLISH:
        return profile
    texts = load_texts(chosen)
    own = profile.attention != Profile().attention
    called = profile.attention if own else texts.table("language")["attention"]
    return replace(profile, attention=called, voice=profile.voice or texts.table("language")["voice"])


def book_for(profile: Profile) -> GrammarBook:
    """Return the grammars of the profile's language, with the names of its foods and canners."""
    canners = canner_names(profile)
    if profile.language == _ENGLISH:
        return GrammarBook.load(canners=canners)
    foods = {name.lower(): food for food, name in load_texts(profile.language).table("foods").items()}
    return GrammarBook.load(grammar_folder() / profile.language, foods=foods, groups={}, canners=canners)


def demand_model(profile: Profile) -> None:
    """Raise ModelMissing for a language in which there is no speech model: it can be typed, not spoken."""
    if profile.language != _ENGLISH:
        raise ModelMissing(f"There is no speech model for {profile.language} here; the one on board hears English.")
