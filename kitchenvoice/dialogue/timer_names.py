"""Names that a cook makes up for kitchen timers. Only typed ones are known: the ear hears those of the grammar."""

from __future__ import annotations

import re
from collections.abc import Iterator

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.language import Language

__all__ = ["by_own_name", "told_name"]

_LEAST_LETTERS = 3
_MOST_NUMBER = 99
_PARTS = ("ask", "ask_end", "before", "behind", "length", "stop", "timer")
_NAME = r"(?P<name>\w+(?: \w+)??)"
_TOLD = (
    rf"\b(?:{{behind}}) {_NAME}(?:$| (?:{{length}})\b)",
    r"(?:^|\b(?:{before}) )(?P<name>\w+) (?:{timer})\b",
)
_SPOKEN_OF = {
    "timer_stop": rf"(?:{{stop}}) {_NAME}(?: (?:{{timer}}))?",
    "ask_time": rf"(?:{{ask}}) {_NAME}(?: (?:{{timer}}))?(?: {{ask_end}})?",
}


def told_name(talk: Talk, text: str) -> str | None:
    """Return the name that is typed along with a new timer, "called onions"; numbers and the stove's words are none."""
    return next(_names(talk.language, text), None) if talk.written else None


def by_own_name(talk: Talk, text: str) -> Understanding | None:
    """Return the meaning of "stop the onion timer" or "how long on the onions" while one of that name is there."""
    calls = [call.key.partition(":")[2] for call in talk.kitchen.calls if call.name == "timer_done"]
    there = [name for name in (*(timer.name for timer in talk.kitchen.timers), *calls) if name]
    for intent, pattern in _SPOKEN_OF.items() if there else ():
        found = re.fullmatch(_filled(talk.language, pattern), text.lower().strip(" .!?"))
        name = found and next((each for each in there if _alike(each, found["name"] or "")), None)
        if name:
            return Understanding(text, intent, {"name": name}, 1.0)
    return None


def _alike(name: str, said: str) -> bool:
    """True for one that is the other, or its plural."""
    short, long = sorted((name, said), key=len)
    return len(short) >= _LEAST_LETTERS and long.startswith(short) and len(long) - len(short) < len(short)


def _names(language: Language, text: str) -> Iterator[str]:
    for pattern in _TOLD:
        for found in re.finditer(_filled(language, pattern), text.lower().strip(" .!")):
            if all(_may_name(language, word) for word in found["name"].split()):
                yield found["name"]


def _filled(language: Language, pattern: str) -> str:
    return pattern.format_map({key: "|".join(map(re.escape, language.choices("timer_names", key))) for key in _PARTS})


def _may_name(language: Language, word: str) -> bool:
    numbers = {each for number in range(_MOST_NUMBER + 1) for each in language.number(number).split()}
    other = numbers.union(language.choices("timer_names", "no_name"), language.choices("overheard", "counted"))
    return word.isalpha() and len(word) >= _LEAST_LETTERS and word not in other and not language.hears("of_stove", word)
