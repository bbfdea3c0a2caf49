"""Report at the end of a practice day, spoken and printed: facts, no marks."""

from __future__ import annotations

from collections.abc import Iterator

from kitchenvoice.language import Language
from kitchenvoice.rehearsal.practice_tally import Incident, Tally

__all__ = ["facts_of", "report"]


def report(language: Language, tally: Tally) -> str:
    """Return the whole report in sentences."""
    return language.say("practice_report", "over", facts=" ".join(facts_of(language, tally)))


def facts_of(language: Language, tally: Tally) -> Iterator[str]:
    """Yield one sentence for each thing that went wrong, then how calls were answered."""
    for trouble in tally.troubles:
        yield _of(language, trouble)
    if not tally.troubles:
        yield language.say("practice_report", "nothing_wrong")
    answered = [call.answered_t - call.t for call in tally.calls.values() if call.answered_t is not None]
    waiting = sum(call.answered_t is None for call in tally.calls.values())
    if answered:
        yield language.say(
            "practice_report",
            "calls",
            count=language.counted(len(answered), "call"),
            average=_after(language, sum(answered) / len(answered)),
            slowest=_after(language, max(answered)),
        )
    elif tally.calls:
        yield language.say("practice_report", "no_calls")
    if waiting:
        yield language.say("practice_report", "not_answered", count=language.counted(waiting, "call"))


def _of(language: Language, trouble: Incident) -> str:
    what = language.say("practice_report", trouble.fault)
    if trouble.after_s is not None:
        return language.say("practice_report", "noticed", what=what, after=_after(language, trouble.after_s))
    return language.say("practice_report", "contradicted" if trouble.contradicted else "missed", what=what)


def _after(language: Language, seconds: float) -> str:
    key = "at_once" if seconds < 0.5 else "after"
    return language.say("practice_report", key, after=language.duration(seconds)).lower()
