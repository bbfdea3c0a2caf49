"""Languages: numbers, measures, durations and whole sentences in words.

Language               one language, immutable, passed to the code that speaks
load_language          the language of a code ("en", "de")
Noun, Joint            countable nouns; conjunctions of a list
CONFUSABLE             numbers that sound like others
in_figures             a sentence with its numbers as figures
capital, sentence      spelling of sentences
nights                 days between two times, by the calendar
"""

from kitchenvoice.language.durations import nights
from kitchenvoice.language.figures import in_figures
from kitchenvoice.language.language import CONFUSABLE, Joint, Language, Noun
from kitchenvoice.language.loading import load_language
from kitchenvoice.language.sentences import capital, sentence

__all__ = ["CONFUSABLE", "Joint", "Language", "Noun", "capital", "in_figures", "load_language", "nights", "sentence"]
