"""Typed sentences in other words: fillers left out, contractions written out, one word for many."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import count, islice
from pathlib import Path
from types import MappingProxyType
from typing import Any

from kitchenvoice.grammar.intents import intents_that
from kitchenvoice.grammar.shapes import NUMBERS, Shape
from kitchenvoice.grammar.spelling import normalise
from kitchenvoice.grammar.telling import Telling

__all__ = ["Wording", "Wordings"]

_LONGEST = 30
"""Words of the longest text that is worded otherwise; nobody types a longer sentence at a stove."""
_MOST_KEPT = 50
"""Texts whose other words are kept: a turn takes a text apart into some ten."""
_MOST_JOINTS = 6
"""Joints of the longest text that is parted: each part is looked for in all wordings. Of 1,757 typed sentences of cooks
the one with the most had three."""
_NONE: Mapping[str, str] = MappingProxyType({})
_IS = re.compile(r"\b(\w+)'s\b")


@dataclass(frozen=True, slots=True)
class Wording:
    """A sentence in other words; `unsure` if who typed it wasn't sure of it."""

    text: str
    unsure: bool


@dataclass(frozen=True)
class Forms:
    """The table `forms` of `wording.toml`: how a statement is told otherwise, and how a load is named in one."""

    again: str = ""
    is_short: str = ""
    is_it: Mapping[str, str] = field(default_factory=lambda: _NONE)
    verbs: Sequence[str] = ()
    instead: Sequence[str] = ()
    without: Sequence[str] = ()
    by: str = ""
    am: str = "$."
    but_before: str = ""
    before_load: str = ""
    of_both: str = ""
    the: str = ""
    things: Sequence[str] = ()
    ordinals: Sequence[str] = ()
    numbers: Sequence[str] = ()
    number_first: str = "$."
    number_last: str = "$."

    def load_first(self, said: str, loads: Sequence[str]) -> tuple[str, Sequence[str]] | None:
        """Return the one load that is named in a sentence, and the sentence without it.

        What stands before a name at the end may be of both: "the weight is on canner one".
        """
        the, *_ = self.the.split("|")
        names = {form: name for name in loads for form in (name, name.removesuffix("s"))}
        names |= {f"{which} {what}": f"{the} {which} {what}" for what in self.things for which in self.ordinals}
        listed = [*names, *(f"{what} {number}" for what in self.things for number in self.numbers)]
        before = rf"(?:\b({self.before_load}) )?(?:\b(?:{self.the}) )?"
        pattern = re.compile(rf"{before}\b({_any_of(listed)})\b(?:'s?(?!\w))?")
        found = pattern.search(said)
        if found is None:
            return self._bare_number_first(said)
        of, name = found.groups()
        rest = " ".join(f"{said[: found.start()]} {said[found.end() :]}".split())
        of_both = of == self.of_both and found.end() == len(said)
        rests = (rest, *((f"{rest} {of}",) if of_both else ()))
        return (names.get(name, name), rests) if rest else None

    def _bare_number_first(self, said: str) -> tuple[str, Sequence[str]] | None:
        """Return the canner that a number alone means, where what is told of it can be of no jar: "two is rocking"."""
        first, last = re.fullmatch(self.number_first, said), re.fullmatch(self.number_last, said)
        if first is not None:
            return f"{self.things[0]} {first['number']}", (first["told"],)
        if last is None:
            return None
        rest = f"{last['told']} {last['then'] or ''}".strip()
        rests = (rest, *((f"{rest} {last['of']}",) if last["of"] == self.of_both else ()))
        return f"{self.things[0]} {last['number']}", rests


@dataclass(frozen=True)
class Wordings:
    """The tables of `wording.toml`."""

    begin: Sequence[str] = ()
    begin_before: Mapping[str, str] = field(default_factory=lambda: _NONE)
    end: Sequence[str] = ()
    inside: Sequence[str] = ()
    unsure: Sequence[str] = ()
    full: Mapping[str, str] = field(default_factory=lambda: _NONE)
    short: Mapping[str, str] = field(default_factory=lambda: _NONE)
    likely: Mapping[str, str] = field(default_factory=lambda: _NONE)
    same: Mapping[str, str] = field(default_factory=lambda: _NONE)
    subjects: Sequence[str] = ()
    tail: Sequence[str] = ()
    of_food: Sequence[str] = ()
    before_food: Sequence[str] = ()
    joints: Sequence[str] = ()
    starts: Sequence[str] = ()
    apart: str = ""
    denies: str = ""
    parts: Mapping[str, str] = field(default_factory=lambda: _NONE)
    shape: Sequence[Shape] = ()
    counted: Sequence[str] = ()
    no_food: Sequence[str] = ()
    bound: Mapping[str, str] = field(default_factory=lambda: _NONE)
    wished: Mapping[str, str] = field(default_factory=lambda: _NONE)
    telling: Telling = field(default_factory=Telling)
    forms: Forms = field(default_factory=Forms)

    @classmethod
    def load(cls, file: Path, names: Mapping[str, str] = _NONE) -> Wordings:
        """Read the tables; a language without the file says everything in one way. `names`: more words for the same."""
        if not file.is_file():
            return cls()
        with file.open("rb") as opened:
            tables: dict[str, Any] = tomllib.load(opened)
        parts = tables["parts"]
        shapes = [{**each, "parts": {name: parts[name] for name in each["parts"].split()}} for each in tables["shape"]]
        tables["same"] = {normalise(name): normalise(known) for name, known in names.items()} | tables["same"]
        return cls(
            **{
                **tables,
                "telling": Telling(**tables["telling"]),
                "forms": Forms(**tables["forms"]),
                "shape": [Shape(**each) for each in shapes],
            }
        )

    def of(self, text: str, loads: Sequence[str] = ()) -> Iterator[Wording]:
        """Yield `text` in other words, the nearest to it first; none if there are no tables.

        Last come what its telling words amount to, and the name of one of the `loads` put first. One turn wants them
        some five times: they are made once, and no more of them than are looked at.
        """
        said = normalise(text)
        if not self.full or len(said.split()) > _LONGEST:
            return
        key = (said, tuple(loads))
        if key not in self._made:
            if len(self._made) >= _MOST_KEPT:
                self._made.clear()
            self._made[key] = [], self._of(*key)
        made, more = self._made[key]
        for at in count():
            if at == len(made):
                made.extend(islice(more, 1))
            if at == len(made):
                return
            yield made[at]

    def _of(self, said: str, loads: Sequence[str]) -> Iterator[Wording]:
        seen = {said}
        for each, unsure in self._all_of(said, loads):
            if each not in seen:
                seen.add(each)
                yield Wording(each, unsure)

    def _all_of(self, said: str, loads: Sequence[str]) -> Iterator[tuple[str, bool]]:
        if said.split()[:1] and said.split()[0] in self.telling.asking:
            said = said.removesuffix(f" {self.forms.again}")
        bare, hedges = _without(self._unsure, said)
        bare, likely = self._maybe.subn(lambda found: self.likely[found.group()], bare)
        unsure = hedges + likely > 0
        texts = [(said, unsure), *([(bare, True)] if unsure else [])]
        for text, unsure in texts:
            yield from ((form, unsure) for each in self._plainer(text) for form in self._forms(each))
        for text, unsure in texts:
            for each in dict.fromkeys(self._written_out(each) for each in self._plainer(text)):
                if not self.telling.asking.intersection(each.split()[:1]):
                    yield from ((sentence, unsure) for shape in self.shape for sentence in shape.sentences(each))
        for text, unsure in texts:
            for each in self._plainer(text):
                yield from ((sentence, unsure) for sentence in self.telling.sentences(each))
        named = self.forms.load_first(self._written_out(said), loads)
        if named is not None:
            name, rests = named
            told_it = (it + rests[0] for verb, it in self.forms.is_it.items() if rests[0].startswith(verb))
            for told in (*rests, *told_it):
                yield from ((f"{name} {form}", unsure) for form, unsure in self._all_of(told, ()))

    def leaves_out(self, text: str, wording: str, intent: str) -> bool:
        """True if a wording lacks what says when or whether, and is a report with which a load goes on."""
        return _lacks(self._bound, text, wording, intent)

    def is_wished(self, text: str, wording: str, intent: str) -> bool:
        """True if a wording lacks what makes a wish of such a report, or leaves open of what it is."""
        return _lacks(self._wished, text, wording, intent)

    def guesses(self, text: str, strange: int) -> Iterator[str]:
        """Yield what `text` may amount to by its telling words, though up to `strange` others aren't known."""
        said = _without(self._unsure, normalise(text))[0]
        if self.full and len(said.split()) <= _LONGEST:
            forms = dict.fromkeys(self._written_out(form) for form in self._plainer(said))
            yield from (each for form in forms for each in self.telling.guesses(form, strange))

    def halves(
        self, text: str, loads: Sequence[str] = (), *, joined: bool = False, short: bool = False
    ) -> Iterator[tuple[str, str]]:
        """Yield `text` parted where a statement is joined to another, neither a single word unless `short`; not with
        one of `apart`, nor with one that `denies` in the first part, which may be of both.

        The name of one of the `loads` begins a statement too. `joined`: only at a word that joins them. What has more
        joints than anybody speaks isn't parted.
        """
        words, denies = self._written_out(text).split(), set(self.denies.split())
        if words and self.joints and words[0] not in self.telling.asking and set(self.apart.split()).isdisjoint(words):
            starts = "" if joined else rf"|(?=(?:{_any_of((*self.starts, *loads))}) )"
            joints = list(re.finditer(rf" (?:(?:{_any_of(self.joints)}) {starts})", text))
            for joint in joints if len(joints) <= _MOST_JOINTS else ():
                halves = text[: joint.start()], text[joint.end() :]
                denied = not denies.isdisjoint(self._written_out(halves[0]).split())
                if (short or all(" " in half for half in halves)) and not denied:
                    yield halves

    def food_in(self, text: str) -> tuple[str, bool] | None:
        """Return the words where a food is named ("can i can ..."), known or not; `None` if nothing does.

        Second whether jars or loads of it are named before it: then it can be nothing else.
        """
        if text.count(" ") >= _LONGEST:
            return None
        said = self._trimmed(normalise(text))
        opening = next(
            (each for each in sorted(self.of_food, key=len, reverse=True) if said.startswith(f"{each} ")), None
        )
        if opening is None:
            return None
        words, counted = said[len(opening) :].split(), False
        while words and (words[0] in self.before_food or words[0] in self.counted):
            counted = counted or words[0] in self.counted
            words = words[1:]
        return (" ".join(words), counted) if words and words[0] not in self.no_food else None

    def _plainer(self, said: str) -> Iterator[str]:
        """Yield it without what says nothing, then written out, then in the one word for many."""
        trimmed = self._trimmed(said)
        bare = self._trimmed(_without(self._inside, trimmed)[0])
        full = self._trimmed(self._written_out(bare))
        same = self._trimmed(_without(self._inside, self._same.sub(lambda found: self.same[found.group()], full))[0])
        again = self._same.sub(lambda found: self.same[found.group()], same)
        yield from (said, self._written_out(said), trimmed, bare, self._written_out(trimmed), full, same, again)

    def _written_out(self, said: str) -> str:
        return _IS.sub(rf"\1 {self.forms.is_short}", self._full.sub(lambda found: self.full[found.group()], said))

    def _forms(self, said: str) -> Iterator[str]:
        """Yield it as it is, contracted, and with the load before what is said of it."""
        yield said
        yield self._shorter.sub(lambda found: self.short[found.group()], said)
        for verb in self.forms.verbs:
            if verb in said:
                yield from (said.replace(verb, other, 1) for other in self.forms.instead)
        bare = said
        for verb in self.forms.without:
            bare = bare.replace(verb, " ")
        yield bare
        for subject in self.subjects:
            if said.startswith(f"{subject} "):
                yield self.forms.by + re.sub(self.forms.am, "am", said[len(subject) + 1 :])
        yield self.forms.by + said

    def _trimmed(self, said: str) -> str:
        before = None
        while said != before:
            before = said
            said = self._first.sub("", said, count=1).strip()
            cut = self._last.sub("", said, count=1).strip()
            said = said if cut in self.of_food else cut  # "can i can honey" names what is canned
        return said or (before or "")

    @cached_property
    def _made(self) -> dict[tuple[str, Sequence[str]], tuple[list[Wording], Iterator[Wording]]]:
        """What was made of the last texts, and what makes the rest of it."""
        return {}

    @cached_property
    def _first(self) -> re.Pattern[str]:
        before = "".join(rf"|{said}(?=\s+(?:{words})\b)" for said, words in self.begin_before.items())
        return re.compile(rf"^(?:{_any_of(self.begin)}{before})\s+")

    @cached_property
    def _last(self) -> re.Pattern[str]:
        tail = _any_of((*self.end, *self.tail)).replace("\\#", NUMBERS)
        return re.compile(rf"\s+(?:{tail})$")

    @cached_property
    def _inside(self) -> re.Pattern[str]:
        return _anywhere(self.inside)

    @cached_property
    def _unsure(self) -> re.Pattern[str]:
        return re.compile(rf"{_anywhere(self.unsure).pattern}(?!{self.forms.but_before})")

    @cached_property
    def _maybe(self) -> re.Pattern[str]:
        return _anywhere(self.likely)

    @cached_property
    def _bound(self) -> _Bound:
        return _by_traits(self.bound)

    @cached_property
    def _wished(self) -> _Bound:
        return _by_traits(self.wished)

    @cached_property
    def _full(self) -> re.Pattern[str]:
        return _anywhere(self.full)

    @cached_property
    def _shorter(self) -> re.Pattern[str]:
        return _anywhere(self.short)

    @cached_property
    def _same(self) -> re.Pattern[str]:
        return _anywhere(self.same)


_Bound = Sequence[tuple[Sequence[str], re.Pattern[str]]]


def _by_traits(table: Mapping[str, str]) -> _Bound:
    """Return the patterns of words by traits of intents; `#` is a number."""
    return [
        (traits.split(), re.compile(rf" (?:{words.replace('#', NUMBERS)})(?:'s)?(?= )"))
        for traits, words in table.items()
    ]


def _lacks(table: _Bound, text: str, wording: str, intent: str) -> bool:
    patterns = (pattern for traits, pattern in table if intent in intents_that(*traits))
    return any(
        f"{found.group()} " not in f" {wording} " for pattern in patterns for found in pattern.finditer(f" {text} ")
    )


def _anywhere(listed: Sequence[str] | Mapping[str, str]) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w'])(?:{_any_of(listed)})(?![\w'])")


def _any_of(listed: Sequence[str] | Mapping[str, str]) -> str:
    return "|".join(re.escape(each) for each in sorted(listed, key=len, reverse=True))


def _without(pattern: re.Pattern[str], said: str) -> tuple[str, int]:
    text, found = pattern.subn(" ", said)
    return " ".join(text.split()), found
