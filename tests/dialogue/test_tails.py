"""The tail of a question reports nothing ("what do I need, eleven pounds?"); what is told after one does."""

from __future__ import annotations

import pytest

from .conftest import typed


@pytest.fixture
def stages(begun):
    beans = (*begun.BEANS, *begun.LOADED)
    return {
        "locked": begun(*beans, "lid is locked", "heat is on"),
        "come_up": begun(*beans, *begun.VENTING, 10.1, "weight is on", 1),
        "hold": begun(*beans, *begun.VENTING, 10.1, "weight is on", 1, "pressure is eleven", 3),
    }


@pytest.mark.parametrize(
    ("stage", "said"),
    [
        ("locked", "what am i waiting for, steady steam?"),
        ("locked", "what am i waiting for, steady steam"),
        ("come_up", "where should the needle be, at eleven?"),
        ("come_up", "what do the beans need, eleven pounds?"),
        ("come_up", "what's next, the weight on?"),
        ("hold", "what's it supposed to be at, eleven?"),
        ("hold", "what are the beans at, seventeen or so?"),
        ("hold", "what now, lid off"),
    ],
)
def test_the_tail_of_a_question_is_no_report(stages, stage, said):
    before = stages[stage].load
    typed(stages[stage], said)
    now = stages[stage].load
    assert (now.stage, now.hold, now.last_psi, now.timers) == (
        before.stage,
        before.hold,
        before.last_psi,
        before.timers,
    )


@pytest.mark.parametrize("said", ["how long is left? it dropped to nine", "how much longer, it fell to nine"])
def test_a_loss_told_after_a_question_is_one(stages, said):
    typed(stages["hold"], said)
    assert stages["hold"].load.hold.lost_t is not None


def test_a_reading_told_after_a_question_counts(stages):
    assert typed(stages["hold"], "is it okay? it's at twelve").endswith("Twelve. Twenty two minutes to go.")
