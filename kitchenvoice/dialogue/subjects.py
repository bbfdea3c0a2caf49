"""Subject of a sentence: its clauses about the canning, and the presuppositions of a question.

A clause is of something else if what it tells of has a name of its own ("the oven is off", "my blood pressure is low"),
or a word that says so, and nothing of stove and jars is named. One without a name ("it dropped") may always be ours.
"""

from __future__ import annotations

import re
from collections.abc import Set as AbstractSet
from functools import lru_cache

from kitchenvoice.language import Language

__all__ = ["clauses_of_ours", "supposed"]


def clauses_of_ours(
    language: Language, text: str, own: AbstractSet[str] = frozenset(), *, boils: bool = True
) -> list[str]:
    """Return the clauses of a text that may be of the canning; `own` are words of the foods that are on the stove.

    `boils`: a boil is watched, so that none is of a pot with a name of its own.
    """
    ours = (each for each in _clauses(language, text) if not _is_elsewhere(language, each, own, boils=boils))
    return [left for each in ours if (left := language.unheard("foreign", each))]


def supposed(language: Language, question: str) -> str:
    """Return what a question takes for so ("is it okay the weight came off", "why did it drop"); "" if nothing.

    What is asked on a condition, or is the very thing that is asked, isn't taken for so.
    """
    if language.hears("supposes", question):
        return question
    if language.hears("supposes_so", question) and not language.hears("on_condition", question):
        return question
    found = _pattern(language, "stated").search(question)
    return "" if found is None or language.hears("on_condition", found["asked"].strip()) else found["told"]


def _clauses(language: Language, text: str) -> list[str]:
    return [each.strip() for each in _pattern(language, "joins").split(text) if each.strip()]


def _is_elsewhere(language: Language, clause: str, own: AbstractSet[str], *, boils: bool) -> bool:
    """True if what a clause tells of isn't ours by its name, or by a word that says so."""
    told_of = _pattern(language, "told_of").match(clause)
    if told_of is not None:
        after = language.unheard("foreign", clause[told_of.end() :])
        after = after if boils else language.unheard("its_own", after)
        if not _is_ours(language, told_of["head"] or told_of["thing"], own):
            return not (language.hears("it", after) or language.hears("ours", after))
    if not language.hears("elsewhere", clause):
        return False
    left = language.unheard("elsewhere", language.unheard("foreign", clause))
    told = language.hears("thing", left) and (language.hears("loss", left) or language.hears("happening", left))
    return not (told or language.hears("of_stove", left) or language.hears("own_jars", left))


def _is_ours(language: Language, named: str, own: AbstractSet[str]) -> bool:
    """True if a name is one of ours, or says too little."""
    words = language.unheard("foreign", named)
    *_, last = named.split()
    ours = language.hears("ours", words) or language.hears("loss", words) or language.hears("unnamed", last)
    return ours or not own.isdisjoint(words.split())


def _pattern(language: Language, name: str) -> re.Pattern[str]:
    return _compiled(language.tables["overheard"][name])


@lru_cache(maxsize=16)
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)
