"""Another language: its grammars in `grammars/<language>/`, its sentences in `language/texts/<language>.toml`.

English is complete and the default. Another one has the core commands; what it lacks is said in English.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from kitchenvoice.errors import BadInput, BadProfile, ModelMissing
from kitchenvoice.grammar import STAGES, GrammarBook, grammar_folder
from kitchenvoice.kitchen.profile import LANGUAGES, Profile, canner_names, place_of
from kitchenvoice.language import Language, load_language

if TYPE_CHECKING:
    from kitchenvoice.ports import Rescorer

__all__ = ["book_for", "food_names", "in_language", "model_of", "require_own_names", "rescorer_of"]

_ENGLISH = "en"
_NOBODY = "xyzzy"
"""Attention words that nobody says, to see what is a sentence without any."""
_QUESTIONS = (None, "food", "pack", "jar", "canner")
"""None, and some whose answers are no commands."""


def in_language(profile: Profile, language: str | None) -> Profile:
    """The profile in a language, with that language's attention words and voice where the profile has none of its own.

    Raises: BadInput for a language that isn't there.
    """
    chosen = language or profile.language
    if chosen not in LANGUAGES:
        raise BadInput(f"There are no sentences in {chosen}. There are: {', '.join(LANGUAGES)}.")
    profile = replace(profile, language=chosen)
    if chosen == _ENGLISH:
        return profile
    own_words = load_language(chosen).table("language")
    own = profile.attention != Profile().attention
    called = profile.attention if own else own_words["attention"]
    return replace(profile, attention=called, voice=profile.voice or own_words["voice"])


def book_for(profile: Profile) -> GrammarBook:
    """Return the grammars of the profile's language, with the names of its foods and canners; the latest is kept."""
    return _book(profile.language, frozenset(canner_names(profile).items()), profile.alike)


@lru_cache(maxsize=1)
def _book(code: str, named: frozenset[tuple[str, int]], alike: tuple[str, ...]) -> GrammarBook:
    canners, pairs = dict(named), [(said, heard) for said, heard in map(str.split, alike)]
    if code == _ENGLISH:
        return GrammarBook.load(canners=canners, alike=pairs)
    language = load_language(code)
    return GrammarBook.load(
        grammar_folder() / code, foods=food_names(language), groups={}, canners=canners, alike=pairs
    )


def food_names(language: Language) -> dict[str, str]:
    """Return the foods by the names, in small letters, that a language has for them."""
    foods = {name.lower(): food for food, name in language.table("foods").items()}
    return foods | {name: food for food in language.table("foods_too") for name in language.choices("foods_too", food)}


def require_own_names(book: GrammarBook, profile: Profile, home: Path) -> None:
    """See that the attention words call nothing but us, and each canner's name nothing but it.

    Raises: BadProfile naming the line: "yes" would take every answer for a call, "canner two" isn't canner one.
    """
    called = profile.attention
    for question in _QUESTIONS:
        grammar = book.grammar(STAGES, attention="optional", wake_phrase=called, question=question)
        others = book.grammar(STAGES, attention="optional", wake_phrase=_NOBODY, question=question)
        begins = others.can_continue(called)  # "the" weight is on
        if begins or any(reading.intent != "attention" for reading in grammar.parse(called)):
            raise BadProfile(
                f"{place_of(home, 'attention')}: {called!r} is said for other things too, and they would call me. "
                f'Write for example: attention = "{Profile().attention}"'
            )
    grammar = book.grammar(STAGES, attention="optional", wake_phrase=called, question="canner")
    for index, canner in enumerate(profile.canners):
        said = (canner.name, f"the {canner.name}") if canner.name else ()
        meant = {reading.slots.get("canner") for text in said for reading in grammar.parse(text)}
        if meant - {canner.number}:
            raise BadProfile(
                f"{place_of(home, 'canner', index, 'name')}: {canner.name!r} means something else already. "
                'Write for example: name = "the big one"'
            )


def rescorer_of(profile: Profile) -> Rescorer | None:
    """Return the second engine if it is installed and knows the profile's language."""
    from kitchenvoice.hearing.recognise.whisper_rescorer import find_rescorer

    return find_rescorer() if profile.language == _ENGLISH else None


def model_of(profile: Profile) -> Path:
    """Return the folder of the speech model that hears the profile's language, after checking every file of it.

    Raises: ModelMissing with one sentence that names the fix; without a model a language can be typed, not spoken.
    """
    from kitchenvoice.hearing.recognise.model_store import find_model, verified_folder, verified_model

    if profile.language == _ENGLISH:
        return verified_model()
    name = load_language(profile.language).table("language")["model"]
    folder = find_model(name)
    if not folder.exists():
        raise ModelMissing(
            f"There is no speech model for {profile.language} here. Unpack {name} as {folder} and run "
            f"kitchenvoice fetch-model --record {name}, or type: kitchenvoice start --typed."
        )
    return verified_folder(folder)
