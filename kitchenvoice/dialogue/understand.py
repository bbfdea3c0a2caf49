"""From utterance to meaning: the first alternative that is a whole sentence, never a part of one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import exp, inf
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import acceptance as th
from kitchenvoice.grammar import Grammar, Reading, consequences, grade, normalise
from kitchenvoice.ports import Rescoring, Utterance

__all__ = ["Understanding", "meant", "understand"]

_UNKNOWN = "[unk]"
_ANSWERS = frozenset({"number", "choice"})
_DENIAL = "not_yet"
_TINY = 1e-12
_NOTHING: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Understanding:
    """What an utterance means.

    `text` is the alternative that was taken, or the best one if none was. `intent` is `None` if it means nothing, and
    `reject_reason` then tells why: `silence`, `too_soft`, `too_long`, `unknown_words`, `no_attention`, `ambiguous`,
    `unsure` (something else is nearly as likely) or `no_match`. `attention` tells whether the wake phrase was
    said. `rival` is another reading that sounds alike (fifteen for fifty): say it back digit by digit. It is told with
    an `unsure` utterance too. `unsure` is a typed sentence without the words by which the cook wasn't sure of it.
    """

    text: str
    intent: str | None
    slots: Mapping[str, Any] = field(default_factory=lambda: _NOTHING)
    confidence: float = 0.0
    reject_reason: str | None = None
    attention: bool = False
    rival: Reading | None = None
    unsure: str | None = None


def understand(utterance: Utterance, grammar: Grammar) -> Understanding:
    """Find the meaning of an utterance.

    Only whole sentences count. Alternatives with the same meaning support each other; the meaning with the largest
    share of the likelihood is taken if it stands out far enough for its consequence (see `thresholds`), and from
    what sounds like it, otherwise the utterance is `unsure`. Where the engine doesn't tell shares, the first whole
    sentence counts. Where it does, one word in place of the wake phrase's first ones is mended (see
    `Grammar.with_name_mended`). Where a second engine was asked it may keep a meaning from being taken, and have
    one taken that didn't stand out enough (`_with_opinions`), but in clear sound it chooses in no minimal pair
    (`_stands_alone`): it only bears the first one out (`_agreed`), and neither what it takes for something else
    altogether is taken (`_takes_another`), nor what is far behind what is no sentence (`_is_behind_talk`). If a
    sentence has several meanings, an answer to the open question comes before a command, and then the pairs of
    consequences.toml decide; otherwise it is `ambiguous`.
    """
    texts, posteriors = _spelt(utterance.alternatives, utterance.posteriors)
    texts = list(map(grammar.with_name_mended, texts)) if posteriors else texts
    if utterance.trouble == "too_long":
        return _rejected(texts, "too_long", utterance, grammar)
    meanings = _meanings(texts, posteriors, grammar)
    if not meanings:
        return _rejected(texts, _why_not(texts, utterance, grammar), utterance, grammar)
    best = max(meanings, key=lambda meaning: meaning.posterior) if posteriors else meanings[0]
    loud = utterance.above_noise_db < th.LOUD_NOISE_DB
    sure = not posteriors or (_stands_out(best, meanings, sum(posteriors), loud=loud) and _stands_alone(best, meanings))
    if utterance.opinions and posteriors and best.reading is not None:
        weighed = _weighed(texts, posteriors, utterance.opinions)
        clear = utterance.above_noise_db >= th.CLEAR_SOUND_DB
        by_first = meanings
        best, meanings, sure = _with_opinions(best, sure, meanings, weighed, utterance.opinions, grammar, clear=clear)
        sure = sure and not (clear and _is_nearly_denied(best, by_first))
        strict = clear or _is_bare_number(best)
        sure = sure and not (strict and _takes_another(best, texts, utterance.opinions, grammar))
        sure = sure and not (clear and _is_behind_talk(best, utterance.opinions, grammar))
    chosen = best.reading
    if chosen is None:
        return _rejected([best.text], "ambiguous", utterance, grammar)
    likely = [
        text
        for place, text in enumerate(texts)
        if not posteriors or posteriors[place] >= th.LEAST_POSTERIOR_RIVAL * sum(posteriors)
    ]
    rival = _rival(best.text, chosen, [text for text in likely if text != best.text], grammar)
    if not sure:
        return replace(_rejected([_to_ask(best, meanings)], "unsure", utterance, grammar), rival=rival)
    return Understanding(best.text, chosen.intent, chosen.slots, utterance.confidence, None, chosen.attention, rival)


@dataclass(slots=True)
class _Meaning:
    """A meaning among the alternatives: its best text, its reading (`None` if ambiguous), its share so far."""

    text: str
    reading: Reading | None
    posterior: float


def _meanings(texts: list[str], posteriors: tuple[float, ...], grammar: Grammar) -> list[_Meaning]:
    """Gather the meanings of the alternatives, in the order of the first text of each."""
    found: dict[object, _Meaning] = {}
    alone: _Meaning | None = None
    for place, text in enumerate(texts):
        readings = grammar.parse(text)
        if not readings:
            continue
        reading = meant(readings)
        posterior = posteriors[place] if posteriors else 0.0
        if reading is not None and reading.intent == "attention":
            alone = alone or (_Meaning(text, reading, posterior) if place <= th.ATTENTION_ALONE_RANK else None)
            continue
        key = text if reading is None else (reading.intent, repr(sorted(reading.slots.items())))
        meaning = found.setdefault(key, _Meaning(text, reading, 0.0))
        meaning.posterior += posterior
    if alone is not None and (
        not found or not posteriors or alone.posterior > max(x.posterior for x in found.values())
    ):
        return [alone]
    return list(found.values())


def _stands_out(best: _Meaning, meanings: list[_Meaning], whole: float, *, loud: bool) -> bool:
    if best.reading is None or whole <= 0.0:
        return False
    if best.reading.intent == "attention":
        return True
    of_sentences = best.posterior / sum(meaning.posterior for meaning in meanings)
    intent = best.reading.intent
    cost = grade(intent)
    light = best.reading.attention and cost != "safety"
    least = th.LEAST_POSTERIOR_INTENT.get(intent, th.LEAST_POSTERIOR_BY_NAME if light else th.LEAST_POSTERIOR[cost])
    if not best.reading.attention and (intent in _ANSWERS or cost == "safety"):
        least = th.LEAST_POSTERIOR_ANSWER
    most_of_them = th.LEAST_POSTERIOR_SENTENCES_IN_LOUD_NOISE if loud else th.LEAST_POSTERIOR_SENTENCES[cost]
    return best.posterior / whole >= least and of_sentences >= most_of_them


def _stands_alone(best: _Meaning, meanings: list[_Meaning]) -> bool:
    """True if nothing that sounds like it (sixteen, sixty), denies it or is denied by it is nearly as likely.

    Of pressures only a denial counts: a fall has to count at once, and the dialogue asks about the others itself.
    """
    if best.reading is None:
        return True
    others = [meaning for meaning in meanings if meaning is not best]
    most = th.MOST_POSTERIOR_DENIED if best.reading.intent == _DENIAL else th.MOST_OF_MINIMAL_PAIR
    if any(other.posterior > most * best.posterior and _deny_each_other(best, other) for other in others):
        return False
    if "pressure" in best.reading.slots:
        return True
    return not any(other.posterior > _most_of_minimal_pair(best, other) * best.posterior for other in others)


def _most_of_minimal_pair(best: _Meaning, other: _Meaning) -> float:
    """Return the largest share, of the best meaning's, that the other may have; no limit where it is no twin."""
    if _sounds_like(best.text, other.text):
        grave = _apart(best.text, other.text) & consequences().grave
        return th.MOST_OF_GRAVE_PAIR if grave else th.MOST_OF_MINIMAL_PAIR
    return th.MOST_OF_MINIMAL_PAIR if _differ_in_numbers(best, other) else inf


def _differ_in_numbers(one: _Meaning, other: _Meaning) -> bool:
    """True if both are the same report of two numbers."""
    if one.reading is None or other.reading is None or one.reading.intent != other.reading.intent:
        return False
    mine, its = one.reading.slots, other.reading.slots
    if mine.keys() != its.keys():
        return False
    apart = [name for name in mine if mine[name] != its[name]]
    return bool(apart) and all(_is_number(mine[name]) and _is_number(its[name]) for name in apart)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _weighed(
    texts: list[str], posteriors: tuple[float, ...], opinions: Mapping[str, Rescoring]
) -> tuple[list[str], tuple[float, ...]]:
    """Share what the texts that both engines were asked about have together anew among them; likeliest first."""
    most = max(opinion.total for opinion in opinions.values())
    asked = {place: opinions[text] for place, text in enumerate(texts) if text in opinions}
    weights = {
        place: posteriors[place] * exp(th.WEIGHT_OF_OPINION * (told.total - most)) for place, told in asked.items()
    }
    scale = sum(posteriors[place] for place in asked) / sum(weights.values()) if sum(weights.values()) else 0.0
    weighed = [weights[place] * scale if place in weights else posterior for place, posterior in enumerate(posteriors)]
    order = sorted(range(len(texts)), key=lambda place: -weighed[place])
    return [texts[place] for place in order], tuple(weighed[place] for place in order)


def _with_opinions(
    best: _Meaning,
    sure: bool,
    meanings: list[_Meaning],
    weighed: tuple[list[str], tuple[float, ...]],
    opinions: Mapping[str, Rescoring],
    grammar: Grammar,
    *,
    clear: bool,
) -> tuple[_Meaning, list[_Meaning], bool]:
    """Return the meaning to take, what else it could be, and whether it is sure, now that a second engine was asked.

    What the first engine is sure of is doubted where both together say something else, or the second finds it unlikely.
    What it is unsure of is taken where both together leave hardly any other sentence, and enough beside what is none,
    and the second finds it likely.
    """
    both = _meanings(*weighed, grammar)
    if not both:  # the wake phrase alone counts only as the likeliest text
        return best, meanings, sure
    first = max(both, key=lambda meaning: meaning.posterior)
    of_sentences = first.posterior / max(sum(meaning.posterior for meaning in both), _TINY)
    told = opinions.get(first.text)
    whole = sum(weighed[1])
    if sure:
        other = not _same(first, best) and of_sentences > th.POSTERIOR_THAT_CONTRADICTS
        mine = opinions.get(best.text)
        likely = best.posterior >= th.POSTERIOR_OF_LIKELY * whole
        least = th.LEAST_OPINION_OF_LIKELY if likely else th.LEAST_OPINION
        doubted = mine is not None and (mine.per_token < least or _misheard(best, opinions, grammar))
        return best, meanings, not (other or doubted)
    if first.reading is None or first.reading.intent == "attention" or told is None:
        return best, meanings, False
    by_first = next((meaning for meaning in meanings if _same(meaning, first)), None)
    if by_first is None:
        return best, meanings, False
    least = th.LEAST_POSTERIOR_BY_NAME if first.reading.attention else th.LEAST_POSTERIOR_ANSWER
    least = whole * max(least, th.LEAST_POSTERIOR_INTENT.get(first.reading.intent, 0.0))
    faint = by_first.posterior < least
    taken = (
        of_sentences >= th.LEAST_POSTERIOR_BY_BOTH
        and told.per_token >= (th.LEAST_OPINION_OF_FAINT if faint else th.LEAST_OPINION_TO_TAKE)
        and max(by_first.posterior, first.posterior) >= least
        and _stands_alone(first, both)
        and (_stands_alone(by_first, meanings) or (not faint and (not clear or _agreed(first, best, whole))))
        and not _misheard(first, opinions, grammar)
    )
    return (first, both, True) if taken else (best, meanings, False)


def _is_nearly_denied(best: _Meaning, by_first: list[_Meaning]) -> bool:
    """True if to the first engine its denial is nearly as likely as this report, whatever the second one says."""
    if best.reading is None or best.reading.intent == _DENIAL or grade(best.reading.intent) == "information":
        return False
    mine = sum(each.posterior for each in by_first if _same(each, best))
    denials = sum(each.posterior for each in by_first if each.reading is not None and each.reading.intent == _DENIAL)
    return denials > th.MOST_OF_DENIAL * mine


def _takes_another(best: _Meaning, texts: list[str], opinions: Mapping[str, Rescoring], grammar: Grammar) -> bool:
    """True if the second engine by itself takes something else for likeliest of what the first one heard."""
    asked = [text for text in texts if text in opinions]
    most = max((opinions[text].total for text in asked), default=0.0)
    meanings = _meanings(asked, tuple(exp(opinions[text].total - most) for text in asked), grammar)
    return bool(meanings) and not _same(max(meanings, key=lambda meaning: meaning.posterior), best)


def _is_behind_talk(best: _Meaning, opinions: Mapping[str, Rescoring], grammar: Grammar) -> bool:
    """True if the second engine finds what is no sentence far likelier than this, which isn't a mere question."""
    mine = opinions.get(best.text)
    if mine is None or best.reading is None or grade(best.reading.intent) == "information":
        return False
    talk = [told.total for text, told in opinions.items() if not grammar.parse(text)]
    return max(talk, default=-inf) - mine.total > th.MOST_BEHIND_TALK


def _is_bare_number(meaning: _Meaning) -> bool:
    """True if it is a number in answer to a question, without the wake phrase."""
    reading = meaning.reading
    return reading is not None and reading.intent == "number" and not reading.attention


def _agreed(by_both: _Meaning, by_first: _Meaning, whole: float) -> bool:
    """True if the second engine only bears out what the first one takes for likeliest."""
    return _same(by_both, by_first) and by_first.posterior >= th.LEAST_POSTERIOR_TO_AGREE * whole


def _misheard(meaning: _Meaning, opinions: Mapping[str, Rescoring], grammar: Grammar) -> bool:
    """True if the second engine takes it for a sentence that is known to be heard as it ("is at" as "is not")."""
    mine = opinions.get(meaning.text)
    others = [opinions[text] for text in grammar.heard_as(meaning.text) if text in opinions]
    return mine is not None and any(told.total > mine.total for told in others)


def _same(one: _Meaning, other: _Meaning) -> bool:
    if one.reading is None or other.reading is None:
        return one.reading is other.reading and one.text == other.text
    return (one.reading.intent, one.reading.slots) == (other.reading.intent, other.reading.slots)


def _to_ask(best: _Meaning, meanings: list[_Meaning]) -> str:
    """Return the words to ask about; of a denial and its statement, the statement: only that changes anything."""
    denied = [other for other in meanings if other is not best and _deny_each_other(best, other)]
    if best.reading is None or best.reading.intent != _DENIAL or not denied:
        return best.text
    return max(denied, key=lambda meaning: meaning.posterior).text


def _deny_each_other(one: _Meaning, other: _Meaning) -> bool:
    """True if one is a denial and the other something grave, which may be what is denied."""
    if one.reading is None or other.reading is None:
        return False
    intents = (one.reading.intent, other.reading.intent)
    return _DENIAL in intents and all(grade(intent) == "safety" for intent in intents)


def _spelt(texts: tuple[str, ...], posteriors: tuple[float, ...]) -> tuple[list[str], tuple[float, ...]]:
    """Spell the texts as the grammars do; without a share for each, without shares."""
    spelt = list(map(normalise, texts))
    if len(posteriors) != len(texts):
        return [text for text in spelt if text], ()
    kept = [(text, posterior) for text, posterior in zip(spelt, posteriors, strict=True) if text]
    return [text for text, _ in kept], tuple(posterior for _, posterior in kept)


def _why_not(texts: list[str], utterance: Utterance, grammar: Grammar) -> str:
    if not texts:
        return "too_soft" if utterance.trouble == "too_soft" else "silence"
    if any(grammar.parse_unaddressed(text) for text in texts):
        return "no_attention"
    if utterance.trouble == "too_soft":
        return "too_soft"
    return "unknown_words" if all(_UNKNOWN in text.split() for text in texts) else "no_match"


def _rejected(texts: list[str], reason: str, utterance: Utterance, grammar: Grammar) -> Understanding:
    """Mean nothing; `attention` tells whether we were called all the same, so that the cook can be asked again."""
    text = texts[0] if texts else ""
    called = grammar.addressed(text)
    return Understanding(text, None, confidence=utterance.confidence, reject_reason=reason, attention=called)


def meant(readings: tuple[Reading, ...]) -> Reading | None:
    """Return the one meaning of a sentence that counts; none if there is none, or nothing decides between two."""
    answers = tuple(reading for reading in readings if reading.intent in _ANSWERS) or readings
    if len(answers) == 1:
        return answers[0]
    by_intent = {reading.intent: reading for reading in answers}
    for first, second in consequences().meant:
        if len(answers) == 2 and by_intent.keys() == {first, second}:
            return by_intent[first]
    return None


def _rival(text: str, chosen: Reading, others: list[str], grammar: Grammar) -> Reading | None:
    """Find an alternative that differs in nothing but words which are taken for each other, or for this cook's."""
    for other in (*(other for other in others if _sounds_like(text, other)), *grammar.said_alike(text)):
        for reading in grammar.parse(other):
            if (reading.intent, reading.slots) != (chosen.intent, chosen.slots):
                return reading
    return None


def _sounds_like(one: str, other: str) -> bool:
    apart = _apart(one, other)
    return bool(apart) and apart <= consequences().confused


def _apart(one: str, other: str) -> frozenset[frozenset[str]]:
    """Return the pairs of words in which two texts of one length differ; none where they are of different length."""
    words, others = one.split(), other.split()
    if len(words) != len(others):
        return frozenset()
    return frozenset(frozenset(pair) for pair in zip(words, others, strict=True) if pair[0] != pair[1])
