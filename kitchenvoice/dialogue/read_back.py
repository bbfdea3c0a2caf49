"""The read-back of a whole load, with its numbers, and its opening after one yes."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace

from kitchenvoice.dialogue import filling
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.form import LoadForm
from kitchenvoice.dialogue.now import today
from kitchenvoice.kitchen.profile import Canner
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Process
from kitchenvoice.reference import Answer
from kitchenvoice.reference.answer import Acid
from kitchenvoice.reference.gauge import gauge_target
from kitchenvoice.reference.tables import STEAM_CAUTION

__all__ = ["canner_name", "food_of", "open_load", "read_back"]


def canner_name(talk: Talk, canner: Canner) -> str:
    """Call a canner by its name, else by its number."""
    return canner.name or talk.language.canner(canner.number)


def read_back(talk: Talk, form: LoadForm, canner: Canner | None, answer: Answer) -> str:
    """Return the whole load with its numbers, as it is asked about once; nothing where the canner's dial bars it."""
    answer = _chosen(form, answer)
    dial = _dial(talk, answer, canner)
    if dial.barred:
        talk.reason = talk.language.in_words(dial.barred)
        talk.speak(talk.reason, Urgency.CAUTION)
        talk.say("starting", "dropped")
        return ""
    process = _process(talk, answer, dial)
    numbers = {"jars": form.count, "minutes": process.minutes, "pounds": process.target_psi}
    values = {
        "count": talk.language.jars(form.jar or "", form.count),
        "food": food_of(talk, answer),
        "pack": talk.language.phrase("names", f"pack_{form.pack}"),
        "vessel": _vessel(talk, process, canner, as_before=form.as_before),
        "altitude": talk.language.altitude(process.altitude_ft),
        "process": _numbers(talk, process),
        "headspace": process.headspace,
        "codes": filling.codes(talk, numbers),
        "extra": " ".join(["", *_extra(talk, answer.acid, dial), *_waits(talk, canner), *_of_steam(talk, process)]),
        "confirm": talk.language.say("read_back", f"confirm_{dial.lacks}" if dial.lacks else "confirm"),
    }
    return talk.language.say("read_back", "readback", values)


def _chosen(form: LoadForm, answer: Answer) -> Answer:
    if form.option is None or not answer.options:
        return answer
    chosen = answer.options[form.option]
    return replace(answer, minutes=chosen.minutes, psi=chosen.psi)


def food_of(talk: Talk, answer: Answer) -> str:
    """Name the food in the cook's language, by its published name where there is no other."""
    return talk.language.table("foods").get(answer.food or "", answer.food_name or "")


@dataclass(frozen=True, slots=True)
class _Dial:
    """What the test of the dial means for this load: the reading to keep, what is said, what lacks, why barred."""

    target_psi: float | None
    text: str = ""
    lacks: str = ""
    barred: str = ""


def _dial(talk: Talk, answer: Answer, canner: Canner | None) -> _Dial:
    if answer.method != "pressure" or answer.gauge != "dial" or answer.psi is None:
        return _Dial(answer.psi)
    told = gauge_target(
        answer.psi,
        gauge="dial",
        error_psi=canner.dial_error_psi if canner is not None else None,
        tested_on=canner.dial_tested if canner is not None else None,
        today=today(talk.t),
    )
    if told.status == "replace":
        return _Dial(answer.psi, barred=told.text)
    if told.status != "ok":
        lacks = "unread" if told.status == "unread" else "untested"
        return _Dial(answer.psi, talk.language.say("read_back", f"dial_{lacks}"), lacks=lacks)
    return _Dial(told.read_psi, talk.language.in_words(told.text) if told.read_psi != answer.psi else "")


def _extra(talk: Talk, acid: Acid | None, dial: _Dial) -> list[str]:
    """Say what else has to be known before the yes: acid, a dial that is off."""
    needed = talk.language.say("read_back", f"acid_in_{acid.goes}") if acid is not None and acid.required else ""
    return [text for text in (needed, dial.text) if text]


def _waits(talk: Talk, canner: Canner | None) -> list[str]:
    """Say which load is in that canner still, so that this one is packed to go in after it."""
    busy = talk.kitchen.busy(canner.number) if canner is not None else None
    if canner is None or busy is None:
        return []
    return [talk.language.say("read_back", "waits", canner=canner_name(talk, canner), other=busy.food_name)]


def _of_steam(talk: Talk, process: Process) -> list[str]:
    """Tell once the guide's objection to steam canners, and the later advice."""
    told = any(load.process.is_steam for load in talk.kitchen.loads)
    return [talk.language.say("read_back", "steam_guide")] if process.is_steam and not told else []


def _process(talk: Talk, answer: Answer, dial: _Dial) -> Process:
    """Make the process of the load from the look-up's answer."""
    return Process(
        method=(answer.method or "").replace("_", "-"),
        minutes=float(answer.minutes or 0),
        psi=answer.psi,
        target_psi=dial.target_psi,
        gauge=answer.gauge,
        altitude_ft=int(answer.altitude_ft or 0),
        headspace=_headspace(talk, answer),
        salt_tsp=answer.salt_tsp_per_jar,
        acid=talk.language.in_words(answer.acid.text) if answer.acid is not None and answer.acid.required else "",
        acid_in=answer.acid.goes if answer.acid is not None and answer.acid.required else "jar",
        cautions=tuple(talk.language.in_words(text) for text in _before_filling(answer)),
        water=talk.language.in_words(answer.canner.text) if answer.canner is not None else "",
        heat_vent_minutes=(answer.canner.least_minutes or 0.0) if answer.canner is not None else 0.0,
        no_bubbles=not answer.release_bubbles,
        source=answer.source,
    )


def _before_filling(answer: Answer) -> tuple[str, ...]:
    """Return what is to be known before filling: acid of the pot too; what was read back of steam isn't repeated."""
    of_pot = () if answer.acid is None or answer.acid.required else (answer.acid.text,)
    return (*of_pot, *(text for text in answer.before_filling if text != STEAM_CAUTION))


def _headspace(talk: Talk, answer: Answer) -> str:
    if isinstance(answer.headspace_in, int | float):
        return talk.language.inches(answer.headspace_in)
    return talk.language.in_words(answer.headspace_text or "")


def _vessel(talk: Talk, process: Process, canner: Canner | None, *, as_before: bool = False) -> str:
    if not process.is_pressure:
        return talk.language.phrase("read_back", f"vessel_{process.watched}")
    name = canner_name(talk, canner) if canner is not None else talk.language.phrase("names", "pressure_canner")
    vessel = talk.language.phrase("read_back", f"vessel_{process.gauge}", canner=name)
    return talk.language.phrase("read_back", "vessel_as_before", vessel=vessel) if as_before else vessel


def _numbers(talk: Talk, process: Process) -> str:
    minutes = talk.language.duration(60 * process.minutes)
    if process.is_pressure:
        return talk.language.say("read_back", "process_pressure", minutes=minutes, target=filling.target(talk, process))
    return talk.language.say("read_back", f"process_{process.watched}", minutes=minutes)


def open_load(talk: Talk, form: LoadForm, canner: Canner | None, answer: Answer) -> None:
    """Open the load that was read back."""
    answer = _chosen(form, answer)
    dial = _dial(talk, answer, canner)
    process = _process(talk, answer, dial)
    told = asdict(process)
    told |= {name: told[name] or None for name in ("heat_vent_minutes", "no_bubbles")}
    talk.last_load += 1
    used = {load.number for load in talk.kitchen.open_loads}
    number = next(n for n in range(1, len(used) + 2) if n not in used)
    talk.record(
        "load_start",
        talk.last_load,
        form.heard,
        told,
        number=number,
        food=answer.food,
        food_name=food_of(talk, answer),
        pack=form.pack,
        jar=form.jar,
        count=form.count,
        canner=canner.number if canner is not None else 0,
        canner_name=canner_name(talk, canner) if canner is not None else "",
        untested_dial=bool(dial.lacks),
    )
    talk.selected_t = float("-inf")
