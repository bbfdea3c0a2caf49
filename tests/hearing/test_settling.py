"""What is acted on of another grammar's sentences, and what is asked again."""

from __future__ import annotations

import pytest

from kitchenvoice.hearing import settled
from kitchenvoice.ports import Rescoring, Utterance

MEANINGS = {"with some milk": "some", "with soy milk": "soy", "and soy milk": "soy", "with skim milk": "skim"}


def meant(told: dict[str, tuple[float, float | None]]) -> str | None:
    """Settle texts given as share and the second engine's score."""
    opinions = {text: Rescoring(score, score) for text, (_, score) in told.items() if score is not None}
    shares = tuple(share for share, _ in told.values())
    return settled(Utterance(tuple(told), posteriors=shares, opinions=opinions), MEANINGS.get)


def test_what_stands_out_is_taken() -> None:
    assert meant({"with soy milk": (0.8, None), "with some milk": (0.2, None)}) == "soy"


def test_texts_of_one_meaning_support_each_other() -> None:
    assert meant({"with some milk": (0.35, None), "with soy milk": (0.33, None), "and soy milk": (0.32, None)}) == "soy"


@pytest.mark.parametrize(("some", "soy", "taken"), [(-20.0, -15.0, "soy"), (-15.0, -20.0, "some")])
def test_the_second_engine_decides(some: float, soy: float, taken: str) -> None:
    assert meant({"with some milk": (0.55, some), "with soy milk": (0.45, soy)}) == taken


def test_what_more_than_half_of_the_first_engine_says_is_given_up_where_the_second_disagrees() -> None:
    assert meant({"with some milk": (0.58, -20.6), "with soy milk": (0.42, -19.0)}) == "soy"


def test_it_is_asked_again_where_none_has_a_majority_by_both() -> None:
    assert (
        meant({"with some milk": (0.4, -20.0), "with soy milk": (0.3, -20.0), "with skim milk": (0.3, -20.0)}) is None
    )


def test_a_choice_that_could_as_well_fall_the_other_way_is_asked_about() -> None:
    assert meant({"with some milk": (0.52, None), "with soy milk": (0.48, None)}) is None
    assert meant({"with some milk": (0.58, None), "with soy milk": (0.42, None)}) == "some"


def test_noise_that_holds_a_sentence_somewhere_is_none() -> None:
    assert meant({"[unk]": (0.93, None), "with soy milk": (0.07, None)}) is None
    assert meant({"[unk]": (0.97, None), "with soy milk": (0.03, None)}) is None
    assert meant({}) is None
