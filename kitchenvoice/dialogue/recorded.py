"""The reported history of a load: the only thing that answers a question about what happened to it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kitchenvoice.dialogue import filling
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.now import other_numbers
from kitchenvoice.dialogue.reports import count_text
from kitchenvoice.dialogue.taking_back import standing
from kitchenvoice.process import Load, Stage, canner_state, ran_s

__all__ = ["recorded"]

_LOCKED = frozenset({Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL})


def recorded(talk: Talk, what: str, load: Load) -> str:
    """Tell what was reported of hold, load, vent, heat, pressure, zero, lid, seals, acid, water or jars out."""
    return filling.named(talk, load, _TOLD[what](talk, load))


def _say(talk: Talk, key: str, load: Load, **more: str) -> str:
    return talk.language.say("recorded", key, {**filling.values_of(talk, {}, load), **more})


def _hold(talk: Talk, load: Load) -> str:
    """Tell how the hold stands: not begun, running, in doubt, lost, or done, with all that speaks against it."""
    hold = load.hold
    if hold is None:
        return _say(talk, "no_hold", load)
    s = ran_s(load, talk.t)
    ran, at = ("", "_at_some_time") if s is None else (talk.language.duration(60 * (s // 60) if s >= 60 else s), "")
    if hold.lost_t is not None:
        return _say(talk, f"lost{at}", load, ran=ran)
    if load.doubt or (load.kept and not (hold.running or load.faults)):
        talk.note("hangs")
        said = load.kept[-1].data.get("words") if load.kept else None
        words = [_say(talk, "kept", load, words=str(said))] if said else []
        return " ".join([_say(talk, f"in_doubt{at}", load, ran=ran), *words])
    told = _say(talk, "running" if hold.running else "done", load, ran=ran)
    return " ".join([told, *_against(talk, load)])


def _against(talk: Talk, load: Load) -> list[str]:
    hold = load.hold
    unanswered = 0 if hold is None else hold.unanswered + (max(0, load.asks - 1) if hold.running else 0)
    told = []
    if unanswered:
        told.append(_say(talk, "unanswered", load, checks=talk.language.counted(unanswered, "check")))
    if load.remarks:
        kinds = dict.fromkeys(each.kind for each in load.remarks if talk.language.has("refusing", each.kind))
        remarks = talk.language.listed([talk.language.phrase("refusing", kind) for kind in kinds], "and")
        told.append(_say(talk, "remarks", load, remarks=remarks))
    if load.faults:
        told.append(_say(talk, "not_as_tested", load))
    if other_numbers(talk, load):
        told.append(talk.language.say("refusing", "done_by_other_numbers"))
    return told


def _load(talk: Talk, load: Load) -> str:
    """Tell of hold and jars all that was reported; whether that makes it right is not for us to say."""
    jars = [_say(talk, "broken", load, broken=talk.language.number(load.broken))] if load.broken else []
    acid = [_acid(talk, load)] if load.process.acid and "acid" not in load.checked else []
    return " ".join([_hold(talk, load), *jars, *acid, _say(talk, "no_promise", load)])


def _vent(talk: Talk, load: Load) -> str:
    """Tell how the vent stands, and what speaks against it."""
    if not load.process.is_pressure or load.process.is_steam:
        return _say(talk, "no_vent", load)
    timer = load.timer("vent")
    if timer is not None:
        return _say(
            talk, "in_doubt" if load.doubt else "vents", load, ran=talk.language.duration(talk.t - timer.started_t)
        )
    told = _say(talk, "vented" if load.vented_s else "not_vented", load, ran=talk.language.duration(load.vented_s))
    return " ".join([told, *_against(talk, load)])


def _heat(talk: Talk, load: Load) -> str:
    return _say(talk, "heat_off" if load.heat_off else "heat_not_off", load)


def _pressure(talk: Talk, load: Load) -> str:
    if not load.process.is_pressure:
        return _say(talk, "boils", load)
    if load.last_psi is None or load.last_psi_t is None:
        return _say(talk, "no_pressure", load)
    if load.hold is not None and load.last_psi_t < (load.hold.lost_t or 0):
        return _hold(talk, load)  # what was read before tells nothing any more
    ago = talk.language.duration(talk.t - load.last_psi_t)
    return _say(talk, "pressure", load, psi=talk.language.number(load.last_psi), ago=ago)


def _zero(talk: Talk, load: Load) -> str:
    state = canner_state(load)
    if state in ("shut", "cool"):
        return f"{_pressure(talk, load)} {_say(talk, 'not_zero', load)}"
    return _say(talk, f"zero_{state or 'none'}", load)


def _lid(talk: Talk, load: Load) -> str:
    if load.lid_off:
        return _say(talk, "lid_off", load)
    locked = load.process.is_pressure and load.stage in _LOCKED
    return _say(talk, "lid_locked" if locked else "not_told", load)


def _seals(talk: Talk, load: Load) -> str:
    """Tell the count that is logged, the one that waits for its yes, or how far it is."""
    if load.sealed is not None:
        return count_text(talk, load)
    waits = (each for each in (talk.question, *talk.parked) if each is not None and each.about == "seal_count")
    said = next((each.said for each in waits if each.load == load.id), None)
    sealed, failed = load.tally if said is None else (said.slots["sealed"], said.slots["failed"])
    key = "count_waits" if said is not None else "counted_so_far" if sealed or failed else "not_counted"
    return talk.language.say("recorded", key, filling.values_of(talk, {"sealed": sealed, "failed": failed}, load))


def _acid(talk: Talk, load: Load) -> str:
    if not load.process.acid:
        return _say(talk, "no_acid", load)
    return _say(talk, "acid_in" if "acid" in load.checked else "acid_not_told", load, acid=load.process.acid)


def _water(talk: Talk, load: Load) -> str:
    checked = any(each in load.checked for each in ("water", "water_over"))
    return _say(talk, "water_checked" if checked else "not_told", load)


def _out(talk: Talk, load: Load) -> str:
    out = next((each for each in standing(talk) if each.kind == "jars_out" and each.load == load.id), None)
    if out is None:
        return _say(talk, "not_out", load)
    return _say(talk, "out", load, ago=talk.language.duration(talk.t - out.t))


_TOLD: Mapping[str, Callable[[Talk, Load], str]] = MappingProxyType(
    {
        "hold": _hold,
        "load": _load,
        "vent": _vent,
        "heat": _heat,
        "pressure": _pressure,
        "zero": _zero,
        "lid": _lid,
        "seals": _seals,
        "acid": _acid,
        "water": _water,
        "out": _out,
    }
)
