"""The process engine: events in, (state, facts) out. Pure: no audio, no files, no clock of its own, no chance.

kitchen, facts = apply(kitchen, event)      what a report or the clock does
fold(events)                                the kitchen after all of them (recovery is a replay)
object_to(kitchen, load, report, data, t)   why a report shouldn't be taken as it is
due(kitchen)                                what the clock will bring
validate(event)                             refuse one that is written wrong
"""

from kitchenvoice.ports import Event, Value
from kitchenvoice.process.canners import (
    canner_state,
    is_shut,
    leading_timer,
    may_be_under_pressure,
    told_stage,
    waits_at_zero,
    waits_for_heat_off,
)
from kitchenvoice.process.doubts import THINGS, ends_late, kind_for, raised_by, spoils_start
from kitchenvoice.process.fold import RECORDED_FACTS, apply, fold
from kitchenvoice.process.holds import ran_s
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import (
    BEFORE_HOLD,
    ON_HEAT,
    Doubt,
    Fault,
    Hold,
    Process,
    Remark,
    Stage,
    Timer,
    is_named_timer,
)
from kitchenvoice.process.objections import REOPENS, REPORT_STAGES, Objection, loads_for, object_to
from kitchenvoice.process.own_words import bits
from kitchenvoice.process.schedule import Due, check_t, due, next_due
from kitchenvoice.process.state import Call, Crock, Kitchen
from kitchenvoice.process.steps import (
    Step,
    following,
    gone_past,
    maybe_shut,
    skips,
    step_of,
    steps_of,
    unchecked,
    up_to,
    vent_lost,
)
from kitchenvoice.process.tools import OF_STEAM, Fact
from kitchenvoice.process.validate import validate

__all__ = [
    "BEFORE_HOLD",
    "OF_STEAM",
    "ON_HEAT",
    "RECORDED_FACTS",
    "REOPENS",
    "REPORT_STAGES",
    "THINGS",
    "Call",
    "Crock",
    "Doubt",
    "Due",
    "Event",
    "Fact",
    "Fault",
    "Hold",
    "Kitchen",
    "Load",
    "Objection",
    "Process",
    "Remark",
    "Stage",
    "Step",
    "Timer",
    "Value",
    "apply",
    "bits",
    "canner_state",
    "check_t",
    "due",
    "ends_late",
    "fold",
    "following",
    "gone_past",
    "is_named_timer",
    "is_shut",
    "kind_for",
    "leading_timer",
    "loads_for",
    "may_be_under_pressure",
    "maybe_shut",
    "next_due",
    "object_to",
    "raised_by",
    "ran_s",
    "skips",
    "spoils_start",
    "step_of",
    "steps_of",
    "told_stage",
    "unchecked",
    "up_to",
    "validate",
    "vent_lost",
    "waits_at_zero",
    "waits_for_heat_off",
]
