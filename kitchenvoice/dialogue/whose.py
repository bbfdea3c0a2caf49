"""Another load's name over a question of one, or an empty canner's: what was reported is of another one."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from kitchenvoice.dialogue import doubting, frames
from kitchenvoice.dialogue.answering import falls
from kitchenvoice.dialogue.choosing import InCanner, ask_which, find_loads, go_on_with, named_in, no_such_load
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.turn import Heard, tells_zero
from kitchenvoice.grammar import intents_that
from kitchenvoice.ports import Urgency
from kitchenvoice.process import ON_HEAT

__all__ = ["of_none", "reported", "was_of_another"]

_NAMES = frozenset({"yes", "no", "load_select", "choice", "not_load"})
_REPORTS, _LOSSES = intents_that("report"), intents_that("loss")
_WHY: Mapping[str, str] = MappingProxyType(
    {"pressure": "pressure_low", "weight": "weight_quiet", "boil": "boil_lost", "steam": "boil_lost"}
)


def was_of_another(talk: Talk, heard: Heard) -> bool:
    """Take a name that isn't that of the load in question for the load that was meant; tell whether it is one.

    A bare name may as well turn to that load: it is asked which. What nobody reported, but words may have told of, may
    be of either.
    """
    frame = talk.question
    if frame is None or frame.load is None or frame.kind not in ("yes_no", "loss") or heard.intent not in _NAMES:
        return False
    named = named_in(heard)
    meant = () if named is None else find_loads(talk, named)
    out = heard.intent == "not_load"
    if len(meant) != 1 or (meant[0].id == frame.load) is not out:
        return False
    left = [load for load in talk.kitchen.open_loads if load.id != frame.load] if out else meant
    said = reported(talk, frame, heard.text)
    if said is None and frame.doubt is None:
        return False
    if said is None:
        doubting.put_in_question(talk, heard.text, left)
        frames.again(talk, frame)
        return True
    if heard.intent == "load_select" and not heard.slots.get("no"):  # or it only turns to that one
        both = [load for load in talk.kitchen.open_loads if load.id == frame.load or load in left]
        low = [load for load in left if load.claims and tells_zero(said.intent, said.slots)]
        if low and frame.doubt is None:
            doubting.raise_doubt(talk, "pressure_low", low, said, {"air": True}, among=both)
        else:
            ask_which(talk, both, said, frame.doubt)
        return True
    frames.close(talk, frame)
    if frame.doubt is not None:
        doubting.settle(talk, frame.doubt, "named", held=(frame.load,), heard=heard.text)
    if len(left) == 1:
        talk.record("load_select", left[0].id, heard.text)
    go_on_with(talk, left, said)
    return True


def of_none(talk: Talk, heard: Heard, told: Heard) -> None:
    """Say that nothing is called so. Of a report that names an empty canner it is asked whose it is.

    It puts no other load in question by itself; what may have ended a hold is kept for its end, unless it is answered.
    """
    said, hot = named_in(heard), [load for load in talk.kitchen.open_loads if load.stage in ON_HEAT]
    loses = heard.intent in _LOSSES or falls(talk, heard)
    if not (isinstance(said, InCanner) and hot and heard.intent in _REPORTS):
        no_such_load(talk, talk.kitchen.open_loads)
        if loses or heard.intent == "gauge_zero":
            doubting.put_in_question(talk, heard.text)
        return
    talk.note("misnamed", heard.text)
    canner = talk.profile.canner(said.canner)
    name = (canner.name if canner is not None else "") or talk.language.canner(said.canner)
    empty = talk.language.say("whose", "empty_canner", canner=name)
    if loses:
        doubting.keep(talk, "in_question", [load for load in hot if load.holding], heard.text)
    if len(hot) > 1:
        talk.speak(empty, Urgency.READBACK)
        ask_which(talk, hot, told)
    else:
        prompt = f"{empty} {talk.language.say('whose', 'is_it_canner', canner=hot[0].canner_name)}"
        frames.ask_yes_no(talk, "empty_canner", prompt, told, hot[0].id)


def reported(talk: Talk, frame: Frame, text: str) -> Heard | None:
    """Return the report that a question is about, as it was said."""
    doubt = doubting.doubt_of(talk, frame)
    if doubt is None:
        return frame.said if frame.said is not None and frame.said.intent in _REPORTS else None
    told = {"late": _WHY.get(str(doubt.data.get("why")), "pressure_low"), "opened": "lid_off"}
    report = told.get(doubt.kind, doubt.kind if doubt.kind in doubting.OF_ONE_REPORT else "")
    slots = {name: doubt.data[name] for name in ("pressure", "air", "lock", "fault", "jars") if name in doubt.data}
    return Heard(report, slots, text, talk.t) if report and "words" not in doubt.data else None
