"""How a language says things: numbers, measures, durations and whole sentences.

Language               one language, immutable: handed on to whoever says something
load_language          the language of a code ("en", "de")
Noun, Joint            what it counts; what it puts before the last of several
CONFUSABLE             numbers that sound like others
capital, sentence      the spelling of what is said
"""

from kitchenvoice.language.language import CONFUSABLE, Joint, Language, Noun
from kitchenvoice.language.loading import load_language
from kitchenvoice.language.sentences import capital, sentence

__all__ = ["CONFUSABLE", "Joint", "Language", "Noun", "capital", "load_language", "sentence"]
