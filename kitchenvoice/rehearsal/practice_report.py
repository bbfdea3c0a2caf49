"""What is said and printed at the end of a practice day: facts, no marks."""

from __future__ import annotations

from collections.abc import Iterator

from kitchenvoice.language import words
from kitchenvoice.language.sentences import Texts
from kitchenvoice.rehearsal.practice_tally import Incident, Tally

__all__ = ["facts_of", "report"]


def report(texts: Texts, tally: Tally) -> str:
    """Return the whole report in sentences."""
    return texts.say("practice", "over", facts=" ".join(facts_of(texts, tally)))


def facts_of(texts: Texts, tally: Tally) -> Iterator[str]:
    """Yield one sentence for each thing that went wrong, then how calls were answered."""
    for trouble in tally.troubles:
        yield _of(texts, trouble)
    if not tally.troubles:
        yield texts.say("practice", "nothing_wrong")
    answered = [call.answered_t - call.t for call in tally.calls.values() if call.answered_t is not None]
    waiting = sum(call.answered_t is None for call in tally.calls.values())
    if answered:
        yield texts.say(
            "practice",
            "calls",
            count=words.counted(len(answered), "call"),
            average=_after(texts, sum(answered) / len(answered)),
            slowest=_after(texts, max(answered)),
        )
    elif tally.calls:
        yield texts.say("practice", "no_calls")
    if waiting:
        yield texts.say("practice", "not_answered", count=words.counted(waiting, "call"))


def _of(texts: Texts, trouble: Incident) -> str:
    what = texts.say("practice", trouble.fault)
    if trouble.after_s is not None:
        return texts.say("practice", "noticed", what=what, after=_after(texts, trouble.after_s))
    return texts.say("practice", "contradicted" if trouble.contradicted else "missed", what=what)


def _after(texts: Texts, seconds: float) -> str:
    key = "at_once" if seconds < 0.5 else "after"
    return texts.say("practice", key, after=words.duration(seconds)).lower()
