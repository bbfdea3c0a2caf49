"""What of the ear a machine can carry: by a measurement that is handed in, and by one that is made."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count, pairwise
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from kitchenvoice.app import compose, self_test
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.errors import KitchenVoiceError
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.hearing import make_listener, verified_model
from kitchenvoice.hearing.assembly import recognisers, trial_s
from kitchenvoice.hearing.carrying import EVERYTHING, Parts, parts_for
from kitchenvoice.hearing.thresholds import MOST_WORK_S, WORK_AFTER
from kitchenvoice.ports import EAR_RATE_HZ
from kitchenvoice.rehearsal.cook import DEMO_COOK, voice
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise, mix

FAST_S, QUARTER_S, HOPELESS_S = 0.03, 0.12, 1.3


def kept(parts: Parts) -> set[str]:
    return {part for part in WORK_AFTER if getattr(parts, part)}


def test_a_fast_machine_has_the_whole_ear() -> None:
    assert parts_for(FAST_S, cores=2) == EVERYTHING
    assert EVERYTHING.told() == "fast enough for the whole ear"


def test_a_quarter_of_it_does_not_hear_again_what_is_in_doubt() -> None:
    parts = parts_for(QUARTER_S, cores=4)
    assert kept(parts) == {"first", "cleaned", "answers", "second"}
    assert parts.told().startswith("too slow, or too busy now, for hearing again what is in doubt, so")


def test_a_slower_one_has_fewer_parts_never_others() -> None:
    for cores in (1, 4):
        told = [kept(parts_for(step / 100, cores)) for step in range(1, 140)]
        assert all(slower <= faster for faster, slower in pairwise(told))
        assert told[0] == set(WORK_AFTER)
        assert told[-1] == set()


def test_the_work_after_the_last_word_stays_within_its_bound() -> None:
    for step in range(1, 121):
        parts = kept(parts_for(step / 100, cores=1))
        assert sum(WORK_AFTER[part] for part in parts) * step / 100 <= MOST_WORK_S


def test_two_are_listed_with_and_and_more_with_commas() -> None:
    assert (
        Parts(second=False, again=False)
        .told()
        .startswith("too slow, or too busy now, for the second engine and hearing again")
    )
    assert (
        "way of noise reduction, the ear for answers, the second engine and hearing again" in parts_for(0.5, 1).told()
    )


def test_a_part_that_is_left_out_is_not_made() -> None:
    ear = recognisers(verified_model(), second=SimpleNamespace(judge=None), parts=parts_for(0.5, 1))  # type: ignore[arg-type]
    assert (ear.cleaned, ear.again, ear.second, ear.answers) == ((), (), None, None)
    whole = recognisers(verified_model())
    assert (len(whole.cleaned), len(whole.again)) == (2, 3)
    assert whole.answers is not None


def test_the_smallest_ear_still_knows_how_loud_the_noise_is() -> None:
    grammar = GrammarBook.load().grammar(("hold",), attention="required")
    listener = make_listener(verified_model(), grammar, parts=parts_for(0.5, 1))
    said = voice(DEMO_COOK).say("kitchen voice weight is rocking")
    quiet = np.zeros(EAR_RATE_HZ, np.int16)
    sound = mix(np.concatenate([quiet, said, quiet, quiet]), kitchen_noise("hood", 60.0, 1), 15.0)
    (heard,) = (*listener.feed(sound), *listener.flush())
    assert understand(heard, grammar).intent == "weight_rocking"
    assert 8.0 < heard.above_noise_db < 30.0


def test_the_least_of_a_few_tries_counts_each_over_a_second_of_sound() -> None:
    heard: list[int] = []
    finished = count(1)
    recogniser: Any = SimpleNamespace(accept=lambda block: heard.append(len(block)), finish=lambda: next(finished))
    times = iter([0.4, 0.1, 0.3])

    def timed(work: Callable[[], None]) -> float:
        work()
        return next(times)

    assert trial_s(recogniser, timed) == 0.1
    assert (sum(heard), next(finished)) == (3 * EAR_RATE_HZ, 4)


def test_the_check_tells_what_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compose, "carried_parts", lambda *_: parts_for(QUARTER_S, 1))
    assert self_test.check_speed() == parts_for(QUARTER_S, 1).told()


def test_a_machine_that_cannot_follow_speech_does_not_pass_the_check(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compose, "carried_parts", lambda *_: parts_for(HOPELESS_S, 1))
    with pytest.raises(KitchenVoiceError, match="kitchenvoice start --typed"):
        self_test.check_speed()
