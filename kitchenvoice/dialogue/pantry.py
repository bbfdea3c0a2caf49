"""The shelf, and what is told beside a load: jars left and opened, what to use first; box of lids, amount used."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import contradicting, forms, frames, statements
from kitchenvoice.dialogue.belonging import just_named
from kitchenvoice.dialogue.choosing import ask_which, refuse_without_load, where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.crocks import tell_crocks
from kitchenvoice.dialogue.filling import load_name
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.question import Form, Frame
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.errors import LogbookError
from kitchenvoice.language import Noun, capital
from kitchenvoice.process import ON_HEAT, Load, Stage
from kitchenvoice.reference import find_food, food_name, rule

__all__ = ["HANDLERS", "NOTE", "OPENED"]

ShelfRow = tuple[str, str, int, float]
"""Food, jar, jars left, when it was packed (POSIX seconds)."""

_NAMED = 3
_LONGEST_NOTE = 20
_NO_WORD = "[unk]"
"""What stands in a text for a word that the ear doesn't know, in brackets."""
_MONTH_S = 365.0 / 12 * 86_400


def _shelf(talk: Talk, heard: Heard) -> None:
    """Tell how many are left of a food, what is there in all, or which jars are the oldest."""
    if talk.pantry is None:
        talk.say("pantry", "shelf_unknown")
        return
    if heard.slots.get("when") is not None:
        _put_up(talk, heard)
        return
    named = tuple(each.food for each in talk.kitchen.open_loads if each.id == heard.slots.get("load"))
    foods, jar = _foods(heard.slots) or named, heard.slots.get("jar")
    one = foods[0] if len(foods) == 1 else None
    rows = [row for row in talk.pantry.on_shelf(one, jar) if not foods or row[0] in foods]
    crocks = not foods and heard.slots.get("order") != "oldest" and tell_crocks(talk)
    if not rows and crocks:
        return
    if not rows and foods:
        talk.say("pantry", "opened_none", food=_said(talk, heard.slots))
    elif not rows:
        talk.say("pantry", "shelf_none")
    elif foods:
        for (food, size), count in _kinds(rows).items():
            talk.say("pantry", "shelf_food", count=talk.language.jars(size, count), food=food_name(food))
    elif heard.slots.get("order") == "oldest":
        oldest = [_jars_of(talk, *row[:3]) for row in rows[:_NAMED]]
        talk.say("pantry", "shelf_first", items=talk.language.listed(oldest, "then"))
        if not _tell_age(talk, rows):
            talk.say("pantry", "shelf_best", months=talk.language.number(_months()))
    else:
        _tell_all(talk, rows)


def _put_up(talk: Talk, heard: Heard) -> None:
    """Tell what was put up last year, or when jars of a food were last, whatever is left of them."""
    foods, jar, when = _foods(heard.slots), heard.slots.get("jar"), heard.slots["when"]
    rows = [row for row in talk.pantry.put_up() if not foods or row[0] in foods] if talk.pantry else []
    rows = [row for row in rows if jar in (None, row[1])]
    if when == "latest":
        if not rows:
            talk.say("pantry", "put_up_never", food=_said(talk, heard.slots))
            return
        food, size, count, t = rows[-1]
        named, packed = capital(food_name(food)), _date(t)
        month, in_year = talk.language.phrase("months", str(packed.month)), talk.language.year(packed.year)
        values = {"food": named, "jars": talk.language.jars(size, count), "month": month, "year": in_year}
        talk.say("pantry", "put_up_last", values)
        return
    year = _date(talk.t).year - 1
    kinds = _kinds([row for row in rows if _date(row[3]).year == year])
    items = talk.language.listed([_jars_of(talk, *kind, count) for kind, count in kinds.items()], "and")
    talk.say("pantry", "put_up" if kinds else "put_up_none", year=talk.language.year(year), items=items)


def _date(t: float) -> date:
    return datetime.fromtimestamp(t).astimezone().date()


def _tell_all(talk: Talk, rows: Sequence[ShelfRow]) -> None:
    kinds = _kinds(rows)
    told = [_jars_of(talk, food, jar, count) for (food, jar), count in kinds.items()][: 2 * _NAMED]
    if len(kinds) > len(told):
        told.append(talk.language.phrase("names", "shelf_more", count=talk.language.number(len(kinds) - len(told))))
    talk.say("pantry", "shelf_all", items=talk.language.listed(told, "and"))
    _tell_age(talk, rows)


def _months() -> int:
    """For how many months home-canned food is at its best (published, see `storage.shelf_life`)."""
    return int(rule("storage.shelf_life").figures["months"])


def _tell_age(talk: Talk, rows: Sequence[ShelfRow]) -> bool:
    """Say it of jars whose best time is over, by the published guidance. False if there are none."""
    old = sum(count for _, _, count, packed_t in rows if talk.t - packed_t > _months() * _MONTH_S)
    if old:
        key = "shelf_old" if old > 1 else "shelf_old_one"
        talk.say("pantry", key, count=capital(talk.language.number(old)), months=talk.language.number(_months()))
    return old > 0


def _jars_of(talk: Talk, food: str, jar: str, count: int) -> str:
    return talk.language.phrase("names", "shelf_jars", jars=talk.language.jars(jar, count), food=food_name(food))


def _kinds(rows: Sequence[ShelfRow]) -> dict[tuple[str, str], int]:
    counted: dict[tuple[str, str], int] = {}
    for food, jar, count, _ in rows:
        counted[food, jar] = counted.get((food, jar), 0) + count
    return counted


def _foods(slots: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the foods that can be meant: one, those of a group ("beans"), none if none was named."""
    if slots.get("food"):
        return (str(slots["food"]),)
    return find_food(str(slots["food_group"])).candidates if slots.get("food_group") else ()


def _said(talk: Talk, slots: Mapping[str, Any]) -> str:
    group = str(slots.get("food_group") or "").replace("_", " ")
    return food_name(str(slots.get("food") or "")) or group or talk.language.phrase("names", "that")


def _opened(talk: Talk, heard: Heard) -> None:
    """Take jars off the list. Of a name that several foods on the shelf have it is asked which is meant."""
    slots = heard.slots
    foods, count, jar = _foods(slots), int(slots.get("count", 1)), slots.get("jar")
    shut = [load for load in talk.kitchen.open_loads if load.food in foods and load.stage in ON_HEAT]
    if len(shut) == 1 and not shut[0].lid_off:  # its jars are in the canner
        talk.obey(Heard("lid_off", {}, heard.text, talk.t, of=shut[0].id))
        return
    kinds = _kinds([row for row in talk.pantry.on_shelf(None, jar) if row[0] in foods]) if talk.pantry else {}
    there = tuple(dict.fromkeys(food for food, _ in kinds))
    if len(there) > 1:
        _ask_which(talk, heard, there)
    elif not there:
        talk.say("pantry", "opened_none", food=_said(talk, slots))
    elif sum(kinds.values()) < count:
        left = talk.language.listed([talk.language.jars(size, each) for (_, size), each in kinds.items()], "and")
        talk.say("pantry", "opened_few", left=left, food=food_name(there[0]))
    else:
        jar = jar or (next(iter(kinds))[1] if len(kinds) == 1 else None)
        talk.record("opened", None, heard.text, food=there[0], count=count, jar=jar)
        said = talk.language.jars(jar or "jar", count)
        talk.say("pantry", "opened", count=said, food=food_name(there[0]))


def _ask_which(talk: Talk, heard: Heard, foods: Sequence[str]) -> None:
    names = talk.language.listed([food_name(each) for each in foods])
    forms.ask(talk, "opened", "food", {}, talk.language.say("starting", "ask_which", choices=names), "food", said=heard)


def _go_on(talk: Talk, frame: Frame | None, values: Mapping[str, Any]) -> None:
    if frame is not None and frame.said is not None:
        asked = {name: value for name, value in frame.said.slots.items() if name != "food_group"}
        known = {name: values[name] for name in ("food", "jar") if name in values}
        HANDLERS["opened"](talk, Heard("opened", asked | known, frame.said.text, talk.t))


OPENED = Form(lambda _talk, _frame, heard: forms.chosen(heard, "food", "jar"), _go_on, again=False)
"""Which food the jars were of that were opened."""


# ---------------------------------------------------------------- beside a load


def _beside(note: Callable[[Talk, Heard, Load], None]) -> Callable[[Talk, Heard], None]:
    """Note something beside the load just named, else the only one that is being packed or put in, else ask."""

    def handle(talk: Talk, heard: Heard) -> None:
        loads = talk.kitchen.open_loads
        named = [load for load in loads if load.id == talk.kitchen.focus and (heard.of == load.id or just_named(talk))]
        fitting = named or [load for load in loads if load.stage in (Stage.PACK, Stage.CANNER)] or list(loads)
        fitting = [load for load in loads if load.id == heard.of] or fitting
        if len(fitting) > 1:
            ask_which(talk, fitting, heard)
        elif fitting:
            note(talk, heard, fitting[0])
        else:
            refuse_without_load(talk, heard.text)

    return handle


def _lid_box(talk: Talk, heard: Heard, load: Load) -> None:
    talk.record("lid_box", load.id, heard.text, box=heard.slots["box"])
    talk.say("pantry", "lid_box", box=talk.language.number(heard.slots["box"]), load=load_name(talk, load))


def _note(talk: Talk, heard: Heard, load: Load | None) -> None:
    if "unsure" in heard.slots:
        _read_back(talk, heard.slots["text"], None if load is None else load.id)
        return
    if "told" in heard.slots and _loses(talk, heard.slots["text"]):
        contradicting.contradict(talk, heard.text)
        return
    talk.record("note", None if load is None else load.id, heard.text, text=heard.slots["text"])
    told = {"load": ""} if load is None else {"load": load_name(talk, load)}
    talk.say("pantry", "note_kitchen" if load is None else "note", told, text=heard.slots["text"])


def _bought(talk: Talk, heard: Heard) -> None:
    """Offer to note what was bought, replaced or tested: for the kitchen, of no load; what may be of the stove, where
    one is on, is asked about."""
    heated = [load for load in talk.kitchen.open_loads if load.stage in ON_HEAT]
    if heated and talk.language.hears("of_stove", heard.text):
        contradicting.contradict(talk, heard.text)
        talk.speak(where(talk, heated[0]))
        return
    said = Heard("note", {"text": heard.text, "kitchen": True}, heard.text, talk.t)
    key = f"note_offered_{heard.slots['about']}" if "about" in heard.slots else "note_offered"
    frames.ask_yes_no(talk, "note", talk.language.say("pantry", key, text=heard.text), said)


def _of_any(note: Callable[[Talk, Heard, Load | None], None]) -> Callable[[Talk, Heard], None]:
    """Note beside a load, or where there is none, or it is the kitchen's, of no load."""

    def handle(talk: Talk, heard: Heard) -> None:
        if "kitchen" in heard.slots or not talk.kitchen.open_loads:
            note(talk, heard, None)
        else:
            _beside(note)(talk, heard)

    return handle


def _take_note(talk: Talk, heard: Heard, load: Load | None) -> None:
    """Ask for the words of a spoken note; typed ones come with theirs."""
    if talk.written:
        talk.say("pantry", "take_note")
        return
    told = {} if load is None else {"load": load_name(talk, load)}
    prompt = talk.language.say("pantry", "ask_note" if told else "ask_note_kitchen", told)
    forms.ask(talk, "note", "text", {}, prompt, "note", load=None if load is None else load.id, kept=False)


def _note_heard(talk: Talk, frame: Frame, text: str) -> bool:
    words = without_name(talk, text)
    if not words or (_NO_WORD in words.split() and not _loses(talk, words)):
        return False
    frames.close(talk, frame)
    _read_back(talk, words, frame.load)
    return True


def _read_back(talk: Talk, words: str, load: int | None) -> None:
    """Read back what was heard, for a yes: it is no sentence of the kitchen, so a word of it may be wrong.

    What may tell of a loss while a load claims something is no note: it is asked about.
    """
    if _loses(talk, words):
        contradicting.contradict(talk, words)
        return
    said = Heard("note", {"text": words}, words, talk.t, of=load)
    frames.ask_yes_no(talk, "note", talk.language.say("pantry", "note_heard", text=words), said, load)


def _loses(talk: Talk, words: str) -> bool:
    return bool(talk.kitchen.claiming) and statements.tells_of_loss(talk, words)


NOTE = Form(
    lambda _talk, _frame, _heard: None,
    lambda talk, frame, _values: frames.ask(talk, frame) if frame is not None else None,
    lambda talk, _: talk.language.say("confirming", "note"),
    frozenset(),
    again=False,
    missed=_note_heard,
    longest=_LONGEST_NOTE,
)
"""The words of a spoken note."""


def _used(talk: Talk, heard: Heard, load: Load) -> None:
    amount = float(heard.slots["amount"])
    unit: Noun = heard.slots["unit"]
    talk.record("used", load.id, heard.text, amount=amount, unit=unit)
    said = capital(talk.language.counted(amount, unit))
    talk.say("pantry", "used", amount=said, load=load_name(talk, load))


def _if_readable(handle: Callable[[Talk, Heard], None]) -> Callable[[Talk, Heard], None]:
    """Say so if the record can't be read now: a shelf that isn't known isn't empty."""

    def handled(talk: Talk, heard: Heard) -> None:
        try:
            handle(talk, heard)
        except LogbookError:
            talk.say("pantry", "shelf_unknown")

    return handled


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        "ask_shelf": _if_readable(_shelf),
        "opened": _if_readable(_opened),
        "lid_box": _beside(_lid_box),
        "used": _beside(_used),
        "note": _of_any(_note),
        "bought": _bought,
        "take_note": _of_any(_take_note),
    }
)
"""What is said of the shelf, and what is noted beside a load."""
