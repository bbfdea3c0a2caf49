"""An ear for the answers to an open question alone, and the worth of its word beside the wide ear's.

In the graph of everything "eight" loses against "a" and "one" against "wine". An ear that knows nothing but the answers
hears them nearly always, and hears them in other talk too. So it is asked only where the wide ear heard no sentence, of
short utterances in clear sound, and believed only for a single word. That is weighed: how much less likely it makes the
sound than what the wide ear heard, and how much less likely the second engine finds it than the other texts that the
wide ear had in mind. See `thresholds.LEAST_EVIDENCE`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import log

from kitchenvoice.hearing import thresholds as th
from kitchenvoice.hearing.recognise.graph_file import UNKNOWN
from kitchenvoice.hearing.recognise.posteriors import Hypotheses, put_together, shares
from kitchenvoice.ports import EAR_RATE_HZ, AnswerList, Asking, ListeningGrammar, PhraseRecogniser, Rescoring, Samples

__all__ = ["AnswersEar", "HeardAnswers"]

_LONGEST = round(th.LONGEST_ANSWER_S * EAR_RATE_HZ)


@dataclass(frozen=True, slots=True)
class HeardAnswers:
    """The answers heard in one utterance, best first, with their path scores.

    `lead` is the score of the best text, answer or not; `cost` what the best answer costs in the phrase list, in nats.
    """

    answers: AnswerList
    texts: tuple[str, ...]
    scores: tuple[float, ...]
    lead: float
    cost: float

    def rivals(self, wide: Hypotheses) -> tuple[str, ...]:
        """Return the other texts that the wide ear had in mind, likeliest first."""
        likely = [text for text, share in zip(*wide, strict=True) if share >= th.LEAST_SHARE_OF_RIVAL]
        others = [text for text in likely if self.answers.sentence(text) is None and UNKNOWN not in text]
        return tuple(others[: th.MOST_RIVALS])

    def evidence(self, wide: Hypotheses, wide_score: float, opinions: Mapping[str, Rescoring]) -> float:
        """Return the evidence for the best answer, in nats: about 0 for a true match, less for other talk.

        `wide_score` is the path score of the wide ear's best text, `opinions` the second engine's of the best answer
        and of its rivals, by text.
        """
        best = self.texts[0]
        by_path = self.scores[0] - wide_score + self.cost
        told = dict(zip(*wide, strict=True))
        by_share = log(told[best] / max(told.values())) if told.get(best) else by_path
        mine = opinions.get(best)
        others = [opinion.total for text, opinion in opinions.items() if text not in self.texts]
        worse = min(0.0, mine.total - max(others)) if mine is not None and others else 0.0
        return max(by_path, by_share) + self.scores[0] - self.lead + th.WEIGHT_OF_RIVALS * worse

    def with_wide(self, wide: Hypotheses) -> Hypotheses:
        """Return the answers by both ears, each with the same say."""
        theirs = [(text, share) for text, share in zip(*wide, strict=True) if self.answers.sentence(text) is not None]
        whole = sum(share for _, share in theirs)
        mine = (self.texts, shares(self.scores))
        if not whole:
            return mine
        return put_together(mine, (tuple(text for text, _ in theirs), tuple(share / whole for _, share in theirs)))

    def without(self, wide: Hypotheses) -> Hypotheses:
        """Return the text that the wide ear heard, with the share of all answers given to no word."""
        kept = {text: share for text, share in zip(*wide, strict=True) if self.answers.sentence(text) is None}
        kept[UNKNOWN] = kept.get(UNKNOWN, 0.0) + 1.0 - sum(kept.values())
        return put_together((tuple(kept), tuple(kept.values())))


class AnswersEar:
    """Hear one utterance again for the answers alone, while a question is open; longer ones are no answers."""

    def __init__(self, make: Callable[[], PhraseRecogniser] | None = None) -> None:
        """Take a new recogniser from `make` for each question: none may outlive its model.

        Without `make` it never hears anything.
        """
        self._make = make
        self._recogniser: PhraseRecogniser | None = None
        self._answers: AnswerList | None = None

    def listen_by(self, grammar: ListeningGrammar) -> None:
        """Listen for the answers of this grammar, if it holds a question. Raises: BadGrammar."""
        answers = grammar.answers if isinstance(grammar, Asking) else None
        if answers is self._answers:
            return
        self._recogniser, self._answers = None, None
        if answers is not None and self._make is not None:
            recogniser = self._make()
            recogniser.set_phrases(answers.phrases)
            self._recogniser, self._answers = recogniser, answers

    def hear(self, samples: Samples) -> HeardAnswers | None:
        """Return the answers heard in a whole utterance if the best one is a single word, else `None`."""
        if self._recogniser is None or self._answers is None or len(samples) > _LONGEST:
            return None
        self._recogniser.accept(samples)
        texts, _ = self._recogniser.finish()
        return _answered(texts, self._recogniser.scores, self._answers)


def _answered(texts: Sequence[str], scores: Sequence[float], answers: AnswerList) -> HeardAnswers | None:
    """Return those of these texts that are whole answers; `None` unless the best of them is a single word."""
    found: dict[str, float] = {}
    for text, score in zip(texts, scores, strict=True):
        sentence = answers.sentence(text)
        if sentence is not None:
            found.setdefault(sentence, score)
    if not found or " " in next(iter(found)):
        return None
    cost = th.COST_OF_ANSWER + th.COST_OF_CHOICE * log(len(answers.phrases))
    return HeardAnswers(answers, tuple(found), tuple(found.values()), max(scores), cost)
