"""From blocks of sound to utterances. Pure: no device, no clock; time is counted in samples.

The one exception is a stopwatch around the work itself, because `latency_s` is the delay that the cook notices: the
sound that passed until the decision, plus the computing time of its last frame.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import inf

import numpy as np

from kitchenvoice.hearing import thresholds as th
from kitchenvoice.hearing.noise import WAYS, NoiseReducer
from kitchenvoice.hearing.recognise.answers_ear import AnswersEar, HeardAnswers
from kitchenvoice.hearing.recognise.graph_file import UNKNOWN
from kitchenvoice.hearing.recognise.posteriors import Hypotheses, put_together
from kitchenvoice.hearing.recognise.second_pass import Another, hear_again, in_doubt
from kitchenvoice.hearing.utterance import Speech
from kitchenvoice.hearing.vad import FRAME, FRAME_S, SileroDetector, VoiceDetector
from kitchenvoice.ports import (
    EAR_RATE_HZ,
    ListeningGrammar,
    PhraseRecogniser,
    Recogniser,
    Rescorer,
    Rescoring,
    Samples,
    Utterance,
)

__all__ = ["Listener", "hear_samples"]

_PRE_ROLL_FRAMES = round(th.PRE_ROLL_S / FRAME_S)


@dataclass(frozen=True, slots=True)
class _Frame:
    sound: Samples
    cleaned: tuple[Samples, ...] = ()


class Listener:
    """Cut a stream of sound into utterances and have them recognised.

    `feed` is called from one thread; `set_grammar`, `mute` and `unmute` from any. Speech without a recognised word
    gives no utterance.
    """

    def __init__(
        self,
        recogniser: Recogniser,
        grammar: ListeningGrammar,
        detector: VoiceDetector | None = None,
        stopwatch: Callable[[], float] = time.perf_counter,
        cleaned: Sequence[Recogniser] = (),
        again: Sequence[Another] = (),
        second: Rescorer | None = None,
        answers: Callable[[], PhraseRecogniser] | None = None,
        reducer: NoiseReducer | None = None,
    ) -> None:
        """Listen with `recogniser` alone in quiet, with those of `cleaned` too in noise, each with its own gains.

        A `reducer`, without which there is one only for those of `cleaned`, tells how loud the noise is.
        Those of `again` are the second pass, for doubtful utterances only; in quiet only those for unprocessed sound.
        The rescorer `second` is asked where no sentence is clearly the first, and in loud noise. While the grammar
        holds a question, a recogniser made by `answers` hears short utterances for its answers alone, where that helps.
        Raises: ValueError for more of `cleaned` than there are ways of noise reduction left.
        """
        if len(cleaned) >= WAYS:
            raise ValueError(f"there are {WAYS} ways to take noise out, one for the first recogniser")
        self._recogniser = recogniser
        self._cleaned = tuple(cleaned)
        self._again = tuple(again)
        self._second = second
        self._answers = AnswersEar(answers)
        self._utterance: list[_Frame] = []
        self._grammar = grammar
        self._next_grammar: ListeningGrammar | None = None
        self._detector = detector or SileroDetector()
        self._stopwatch = stopwatch
        self._reducer = reducer or (NoiseReducer() if cleaned else None)
        self._lock = threading.Lock()
        self._rest = np.zeros(0, dtype=np.int16)
        self._recent: deque[_Frame] = deque(maxlen=_PRE_ROLL_FRAMES)
        self._onset: list[Samples] = []
        self._speech: Speech | None = None
        self._muted = False
        self._noisy = False
        self._beside: tuple[Recogniser, ...] = ()
        self.behind_s = 0.0
        """Sound that waits to be fed, seconds: told by whoever feeds as sound comes. See `thresholds.HURRIED_S`."""
        self._detector.reset()
        self._listen_by(grammar)

    @property
    def _hurried(self) -> bool:
        return self.behind_s > th.HURRIED_S

    @property
    def hearing_speech(self) -> bool:
        """True while an utterance is going on."""
        return self._speech is not None

    def feed(self, samples: Samples) -> tuple[Utterance, ...]:
        """Take the next block, of any size; return the utterances that ended in it."""
        with self._lock:
            if self._muted:
                return ()
            sound = np.concatenate([self._rest, samples]) if len(self._rest) else samples
            whole = len(sound) - len(sound) % FRAME
            self._rest = sound[whole:].copy()
            ended = (self._frame(sound[start : start + FRAME]) for start in range(0, whole, FRAME))
            return tuple(utterance for utterance in ended if utterance is not None)

    def flush(self) -> tuple[Utterance, ...]:
        """End the stream: append silence until the utterance in progress has ended, then start afresh."""
        ended = self.feed(_quiet(FRAME - len(self._rest))) if len(self._rest) else ()
        for _ in range(round(th.FLUSH_S / FRAME_S)):
            if ended or self._speech is None:
                break
            ended = self.feed(_quiet(FRAME))
        with self._lock:
            if self._speech is not None:
                last = self._end(self._speech, 0.0)
                ended = (*ended, last) if last else ended
            self._start_afresh()
        return ended

    def set_grammar(self, grammar: ListeningGrammar) -> None:
        """Switch to another grammar: at once between utterances, else from the next utterance on.

        Raises: BadGrammar at once between utterances; else from the `feed` that ends the utterance.
        """
        with self._lock:
            self._next_grammar = grammar
            if self._speech is None:
                self._swap_grammar()

    def mute(self) -> None:
        """Drop all sound, and the utterance in progress, until `unmute`."""
        with self._lock:
            self._muted = True
            if self._speech is not None:
                self._dropped("")
            self._start_afresh()

    def unmute(self) -> None:
        """Listen again, from the next block on."""
        with self._lock:
            self._muted = False

    def _start_afresh(self) -> None:
        self._speech = None
        self._onset.clear()
        self._rest = self._rest[:0]
        self._recent.clear()
        self._detector.reset()
        self._swap_grammar()

    def _swap_grammar(self) -> None:
        grammar, self._next_grammar = self._next_grammar, None
        if grammar is not None:
            self._listen_by(grammar)

    def _listen_by(self, grammar: ListeningGrammar) -> None:
        for recogniser in (self._recogniser, *self._cleaned, *(another.recogniser for another in self._again)):
            recogniser.set_grammar(grammar)
        self._answers.listen_by(grammar)
        self._grammar = grammar

    # ------------------------------------------------------------ unprocessed sound and noise reduction

    def _accept(self, frames: Sequence[_Frame]) -> None:
        self._utterance += frames
        self._recogniser.accept(self._first_sound(frames))
        for way, recogniser in enumerate(self._beside, 1):
            recogniser.accept(_sound(frames, way))

    def _finish(self, above_noise_db: float) -> Utterance:
        """End the utterance; all recognisers' results have the same weight."""
        alternatives, confidence = self._recogniser.finish()
        heard = [(alternatives, self._recogniser.posteriors)]
        heard += [(recogniser.finish()[0], recogniser.posteriors) for recogniser in self._beside]
        texts, posteriors = put_together(*heard)
        if posteriors and self._hurried:
            return Utterance(texts, posteriors[0], posteriors=posteriors)
        answered = self._answered(texts, above_noise_db)
        taken = answered is not None and self._is_meant(answered, (texts, posteriors))
        if posteriors and not taken and in_doubt(texts, self._grammar):
            others = [another for another in self._again if self._noisy or another.way is None]
            heard += hear_again(others, partial(_sound, self._utterance))
            texts, posteriors = put_together(*heard)
        if not posteriors:
            return Utterance(alternatives, confidence)
        if answered is not None:
            weigh = answered.with_wide if taken else answered.without
            texts, posteriors = weigh((texts, posteriors))
        clear = above_noise_db >= th.CLEAR_SOUND_DB
        clearly_first = posteriors[0] >= (th.CLEARLY_FIRST_IN_CLEAR_SOUND if clear else th.CLEARLY_FIRST)
        opinions = self._opinions(texts, doubted=not clearly_first or above_noise_db < th.ASKED_BELOW_DB)
        dictation = self._dictation(texts)
        return Utterance(texts, posteriors[0], posteriors=posteriors, opinions=opinions, dictation=dictation)

    def _first_sound(self, frames: Sequence[_Frame]) -> Samples:
        """Return the sound for the recogniser that is always on."""
        return _sound(frames, 0 if self._noisy else None)

    def _answered(self, texts: Sequence[str], above_noise_db: float) -> HeardAnswers | None:
        """Hear the utterance for answers alone where the sound is clear and the first of `texts` is no sentence."""
        clear = above_noise_db >= th.CLEAR_ENOUGH_FOR_ANSWERS_DB
        if not clear or not self._recogniser.scores or self._grammar.is_sentence(texts[0]):
            return None
        return self._answers.hear(self._first_sound(self._utterance))

    def _is_meant(self, answered: HeardAnswers, wide: Hypotheses) -> bool:
        """True if there is enough evidence for the best answer; the second engine can only lessen it."""
        score = max(self._recogniser.scores)
        if answered.evidence(wide, score, {}) < th.LEAST_EVIDENCE:
            return False
        rivals = answered.rivals(wide) if self._second is not None else ()
        opinions = self._told((answered.texts[0], *rivals)) if rivals else {}
        alone = self._second is None or (rivals and not opinions)
        evidence = answered.evidence(wide, score, opinions)
        return evidence >= (th.LEAST_EVIDENCE_ALONE if alone else th.LEAST_EVIDENCE)

    def _told(self, sentences: Sequence[str]) -> dict[str, Rescoring]:
        """Rescore these sentences, in print spelling, on the unprocessed sound."""
        if self._second is None or not sentences:
            return {}
        printed = [self._grammar.punctuated(sentence) for sentence in sentences]
        return dict(zip(sentences, self._second.judge(_sound(self._utterance, None), printed), strict=False))

    def _opinions(self, texts: Sequence[str], *, doubted: bool) -> dict[str, Rescoring]:
        """Rescore the sentences among these texts, in doubt also the likeliest ones of the others.

        Known confusions of the likeliest sentence are rescored too; where nothing else is in doubt, only those.
        """
        sentences = {text: self._grammar.sentence(text) for text in texts}
        found = dict.fromkeys(sentence for sentence in sentences.values() if sentence is not None)
        if self._second is None or not found:
            return {}
        first, *others = found
        alike = self._grammar.heard_as(first)
        if not (doubted or alike):
            return {}
        if not doubted:
            return self._told((first, *alike)[: th.MOST_OPINIONS])
        rivals = [text for text, sentence in sentences.items() if sentence is None and UNKNOWN not in text]
        asked = dict.fromkeys((first, *alike, *others))
        return self._told((*list(asked)[: th.MOST_OPINIONS], *rivals[: th.MOST_RIVALS]))

    def _dictation(self, texts: Sequence[str]) -> str:
        """Return the second engine's transcript of a possible note."""
        if self._second is None or not self._grammar.takes_words(texts[0]):
            return ""
        return self._second.write_down(_sound(self._utterance, None))

    def _dropped(self, text: str) -> Utterance:
        """End the utterance without alternatives, where they would have no use."""
        for recogniser in (self._recogniser, *self._cleaned):
            recogniser.drop()
        return Utterance((text,) if text else ())

    # ------------------------------------------------------------ frames

    def _frame(self, frame: Samples) -> Utterance | None:
        started = self._stopwatch()
        probability = self._detector.probability(frame.astype(np.float32) / np.float32(32768.0))
        cleaned: tuple[Samples, ...] = ()
        if self._reducer is not None:
            cleaned = self._reducer.clean(frame, self._speech is None and probability < th.NOISE_BELOW)
        self._recent.append(_Frame(frame, cleaned))
        if self._speech is None:
            self._wait(frame, probability)
            return None
        self._accept([self._recent[-1]])
        return self._follow(self._speech, frame, probability, started)

    def _wait(self, frame: Samples, probability: float) -> None:
        """Start an utterance after enough consecutive frames with voice."""
        if probability < th.VOICE_ON:
            self._onset.clear()
            return
        self._onset.append(frame)
        if len(self._onset) >= th.ONSET_FRAMES:
            self._begin()

    def _begin(self) -> None:
        self._utterance.clear()
        self._noisy = self._reducer is not None and self._reducer.noise_dbfs > th.QUIET_DBFS
        self._beside = self._cleaned if self._noisy and not self._hurried else ()
        self._speech = Speech(len(self._recent))
        for frame in self._onset:
            self._speech.add_level(frame)
        self._onset.clear()
        self._accept(self._recent)

    def _follow(self, speech: Speech, frame: Samples, probability: float, started: float) -> Utterance | None:
        speech.note(frame, probability >= th.VOICE_OFF)
        speech.note_text(self._recogniser.partial(), self._grammar)
        if speech.has_ended:
            return self._end(speech, started)
        if not speech.text and speech.seconds >= th.WORDLESS_RESTART_S and speech.silence_s == 0.0:
            self._dropped("")
            self._begin()
        return None

    def _end(self, speech: Speech, started: float) -> Utterance | None:
        above_noise_db = speech.level_dbfs - self._reducer.noise_dbfs if self._reducer else inf
        heard = self._dropped(speech.text) if speech.too_long else self._finish(above_noise_db)
        work_s = self._stopwatch() - started if started else 0.0
        self._speech = None
        self._keep_silence(round(speech.silence_s / FRAME_S))
        self._swap_grammar()
        if not heard.alternatives:
            return None
        return replace(
            heard,
            audio_s=speech.seconds,
            latency_s=speech.waited_s + max(work_s, 0.0),
            level_dbfs=speech.level_dbfs,
            above_noise_db=above_noise_db,
            trouble=speech.trouble(),
        )

    def _keep_silence(self, frames: int) -> None:
        """Keep the silence since the last voiced frame as the next utterance's pre-roll, but no sound of this one."""
        while len(self._recent) > frames:
            self._recent.popleft()


def hear_samples(
    samples: Samples,
    recogniser: Recogniser,
    grammar: ListeningGrammar,
    detector: VoiceDetector | None = None,
    cleaned: Sequence[Recogniser] = (),
    again: Sequence[Another] = (),
    second: Rescorer | None = None,
    answers: Callable[[], PhraseRecogniser] | None = None,
) -> tuple[Utterance, ...]:
    """Return the utterances of a whole recording (16 kHz), segmented and recognised as if live."""
    listener = Listener(recogniser, grammar, detector, cleaned=cleaned, again=again, second=second, answers=answers)
    heard = listener.feed(_quiet(round(th.LEAD_S * EAR_RATE_HZ)))
    heard += listener.feed(samples)
    return heard + listener.flush()


def _sound(frames: Sequence[_Frame], way: int | None) -> Samples:
    """Return the frames' sound with this way of noise reduction, or unprocessed."""
    return np.concatenate([frame.sound if way is None else frame.cleaned[way] for frame in frames])


def _quiet(length: int) -> Samples:
    """Return near-silence: alternating steps of one, never exact zeros."""
    quiet: Samples = np.random.default_rng(7).integers(-1, 2, length, dtype=np.int16)
    return quiet
