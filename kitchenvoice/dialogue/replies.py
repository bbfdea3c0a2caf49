"""Reading of a free-form reply to a yes/no question: yes, no, or neither.

Each word or phrase of it that the language's table `replies` knows stands for a sign, and rules over the signs of a
clause tell what it says: that it is so (`a`), or held (`h`, all the time `t`, a loss that is denied `nl`), or not.
Every word has to be known; a loss counts whatever is said in other clauses.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType

from kitchenvoice.grammar import normalise
from kitchenvoice.reference.nearness import asks

__all__ = ["KINDS", "SIGNS", "Wants", "says"]

KINDS = ("steady", "off", "zero", "things", "form", "so")
"""Kinds of questions: whether all held, the heat is off, the gauge is at zero, things are as they have to be, a load
is as it was read back, and all else."""

SIGNS = MappingProxyType(
    {
        "watched": ".",
        "throughout": "t",
        "never": "m",
        "denies": "n",
        "so": "a",
        "not_so": "d",
        "partly": "p",
        "after": "e",
        "once": "o",
        "unsure": "q",
        "to_come": "u",
        "held": "h",
        "lost": "l",
        "read_less": "f",
    }
)
"""Each kind of words by its sign; of two that fit the longer one counts, then the first. `.` is a word that tells
nothing, `,` one that tells nothing beside another, `?` one that isn't known."""
_HELD = re.compile("n[^hl]{0,2}lo?|(?:l[^hl]*)?e")
"""A loss that is denied, or was after the end."""
_NOT_HELD = re.compile("n[^hl]{0,2}[ht]+")
_FINE = re.compile("n.*?[nl]")


@dataclass(frozen=True, slots=True)
class Wants:
    """What a reply has to say: `kind` of question, whether it is asked if it `held` or fell, if what is so `now` tells
    that, the question's own `words`, and in words what a gauge reads: `numbers` that are enough, and `fewer`."""

    kind: str
    held: bool = True
    now: bool = False
    words: str = ""
    numbers: tuple[str, ...] = ()
    fewer: tuple[str, ...] = ()


def says(text: str, asked: Wants, table: Mapping[str, str]) -> bool | None:
    """Return what a reply says; `None` if it says neither, both, or isn't sure, or has a word that isn't known.

    No reply that is limited to a time or a place lets a load go on.
    """
    so, low = _said(text, asked, table), text.lower()
    limited = re.search(rf"\b(?:{table['limits']})\b", low) and not re.search(table["limits"], asked.words)
    return None if limited and so is asked.held else so


def _said(text: str, asked: Wants, table: Mapping[str, str]) -> bool | None:
    low = text.lower()
    clauses = [clause for each in re.split(table["joins"], low) if (clause := normalise(each))]
    signs = [_signs(each, asked, table).replace(".", "") for each in clauses]
    found = {*"".join(signs)}
    short = any(re.fullmatch(table["in_short"], each) for each in clauses)
    if "?" in low or found & {*("q" if short else "qu")} or (not found & {*"ad"} and asks(normalise(low))):
        return None
    of_past = re.search(rf"\b(?:{table['not_now']})\b", low) and not found & {*"htnlf"}
    if asked.now and asked.kind not in ("off", "things") and of_past:
        return None  # that it was so doesn't tell that it is
    if asked.kind in ("things", "form", "so"):
        return None if found & {*"?p,"} else _alone({said for each in signs for said in _plain(each)})
    of_now = bool(re.search(rf"\b(?:{table['now']})\b", low)) or ("h" in found and _only_reads(clauses, asked, table))
    if asked.kind == "steady" and not asked.now and of_now and not found & {*"tadmlf"}:
        return None  # what it does now, or reads, doesn't tell that it did all the time
    return _of_time([each.replace(",", "") if {*"hltf"} & {*each} else each for each in signs], asked, short=short)


def _only_reads(clauses: list[str], asked: Wants, table: Mapping[str, str]) -> bool:
    """True if nothing but a reading tells that it held."""
    unread = replace(asked, numbers=())
    return bool(asked.numbers) and not any("h" in _signs(each, unread, table) for each in clauses)


def _of_time(signs: list[str], asked: Wants, *, short: bool) -> bool | None:
    """Return what a reply says of what was to hold. A loss counts if its clause is known, whatever the others are, and
    so does a whole answer in short ("it isn't, i meant the other one")."""
    held, lost, denied, partly, said = False, False, False, False, set[bool]()
    less = "lf" if asked.kind != "steady" else "lfp" if asked.held else "lfpo"
    for clause in signs:
        left = _HELD.sub("", clause)
        rest = _NOT_HELD.sub("", left)
        fell = rest != left or bool({*less} & {*rest})
        denied |= left != clause
        lost |= fell and "?" not in rest
        held |= left != clause or (not fell and bool({*"ht"} & {*rest}))
        partly |= (asked.held or asked.kind == "off") and ("o" in rest or ("m" in rest and not denied))  # "never" what?
        said |= {sign == "a" for sign in rest if sign in ("ad" if asked.held else "adm")}
    word = _alone(said)
    if (held and lost) or (partly and not lost) or any(re.search("n.*f", each) for each in signs):
        return None
    if len(said) > 1:
        return not asked.held if lost else None
    if lost:
        return None if word == asked.held else not asked.held
    unknown = {*"?,n"} if not held else {*"?"}
    if not (held or said) or (unknown & {*"".join(signs)} and not short):
        return None
    if held and word not in (None, asked.held) and not (denied or (not asked.held and "h" in "".join(signs))):
        return None  # "no, it held" to whether it did, "yes, all along" to whether it fell
    return asked.held if held else word


def _alone(said: set[bool]) -> bool | None:
    """Return the one of yes and no that was said."""
    return next(iter(said)) if len(said) == 1 else None


def _plain(clause: str) -> set[bool]:
    """Read a clause as a reply to any other question."""
    left = _FINE.sub("a", clause.replace("e", ""), count=1)
    fault = bool({*"dml"} & {*left} or ("n" in left and {*"ah"} & {*left}))
    return {said for said, told in ((False, fault), (True, bool({*"ah"} & {*left}))) if told}


def _signs(clause: str, asked: Wants, table: Mapping[str, str]) -> str:
    """Put a clause as a sign for each of its words and phrases."""
    kinds = _kinds(asked.kind, tuple(table.items()))
    beside = {*table["beside"].split(), *table.get(f"beside_{asked.kind}", "").split()}
    beside |= {*asked.words.split()} if asked.kind == "off" else set()
    repeated = asked.words if asked.kind in ("things", "form", "so") else ""
    small = {*table["small"].split(), *table.get(f"things_{asked.kind}", "").split()}
    text, found = _in_full(clause, table), ""
    for numbers, word in ((asked.fewer, "fewer"), (asked.numbers, "enough")):
        text = re.sub(rf"\b(?:{'|'.join(numbers) or '(?!)'})\b(?: {table['and_more']}\b)?", word, text)
    while text:
        fits = [(end.end(), sign) for pattern, sign in kinds if (end := pattern.match(text)) and end.end()]
        if fits:
            at, sign = max(fits, key=lambda each: each[0])
            found, text = found + sign, text[at:].lstrip()
        elif (words := _of_question(text, repeated)) > 1:
            found, text = found + "a", " ".join(text.split()[words:])
        else:
            word, _, text = text.partition(" ")
            found += "." if word in beside else "," if word in small else "?"
    return found


def _of_question(text: str, asked: str) -> int:
    """Return how many words a text begins with that stand so in the question; two are the fewest that repeat it."""
    words = text.split()
    return next((n for n in range(len(words), 1, -1) if f" {' '.join(words[:n])} " in f" {asked} "), 0)


def _in_full(clause: str, table: Mapping[str, str]) -> str:
    return re.sub(rf"\b({table['shortened']})'s\b", rf"\1 {table['is']}", clause)


@lru_cache(maxsize=16)
def _kinds(kind: str, table: tuple[tuple[str, str], ...]) -> tuple[tuple[re.Pattern[str], str], ...]:
    """Return the pattern of each kind of words, as a question of this kind has them, with its sign."""
    lists = dict(table)
    own = {name: lists.get(f"{name}_{kind}") for name in SIGNS}
    listed = {sign: f"{own[name]}|{lists[name]}" if own[name] else lists[name] for name, sign in SIGNS.items()}
    return tuple((re.compile(rf"(?:{each})(?![\w'])"), sign) for sign, each in listed.items())
