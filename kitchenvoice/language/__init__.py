"""How a language says things: numbers, measures, durations and whole sentences.

Language        one language, immutable: handed on to whoever says something
load_language   the language of a code ("en", "de")
"""

from kitchenvoice.language.language import Language
from kitchenvoice.language.loading import load_language

__all__ = ["Language", "load_language"]
