"""Where the explorer begins, and what can be said and happen from there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from beliefs import WITHOUT_PRESSURE, Called

__all__ = ["EVERYDAY", "SEEDS", "Seed", "alphabet"]

Step = str | float
"""What is said (`>`: without calling first), or how many seconds pass; `cut 120`: the power is off so long."""
Story = tuple[Step, ...]

BEANS = Called(1, "green beans", ("green beans", "canner one", "load one"), "dial", 25.0, 11.0)
CARROTS = Called(2, "carrots", ("carrots", "canner two", "load two"), "weighted", 25.0, 10.0, cools_s=1800.0)
LONE_CARROTS = replace(CARROTS, id=1)
TWINS = (
    replace(BEANS, name="green beans, load one"),
    replace(CARROTS, name="green beans, load two", names=("green beans", "canner two", "load two"), cools_s=2700.0),
)
DIAL_CARROTS = replace(CARROTS, gauge="dial", psi=11.0)
SAUCE = Called(1, "apple sauce", ("apple sauce", "load one"), "bath", 15.0)

PEACHES = Called(1, "peaches", ("peaches", "load one"), "steam", 20.0)
TOMATOES = Called(1, "crushed tomatoes", ("crushed tomatoes", "load one"), "bath", 35.0, acid=True)

START_BEANS = ("start seven quarts of green beans raw pack", "> yes")
START_CARROTS = ("start nine pints of carrots hot pack in canner two", "> yes")
START_TOMATOES = ("start seven pints of crushed tomatoes hot pack", "> boiling water", "> yes")
START_SAUCE = ("start seven pints of apple sauce hot pack", "> boiling water", "> yes")
START_PEACHES = ("start seven pints of peaches hot pack in the steam canner", "> yes")
VENTING = ("seven jars packed", "jars are in", "lid is locked", "steam is steady")
CARROTS_VENTING = tuple(
    f"carrots {each}" for each in ("nine jars packed", "jars are in", "lid is locked", "steam is steady")
)
UP: Story = (*START_BEANS, *VENTING, 601, "weight is on", 180)
HOLD: Story = (*UP, "pressure is eleven")
CARROTS_UP: Story = (*START_CARROTS, *CARROTS_VENTING, 601, "carrots weight is on", 180)
CARROTS_HOLD: Story = (*START_CARROTS, *CARROTS_VENTING, 601, "weight is on", "weight is rocking")
BOTH_UP: Story = (*START_BEANS, *VENTING, 601, "weight is on", *CARROTS_UP)
BOTH_VENTING: Story = (*START_BEANS, *VENTING, *START_CARROTS, *CARROTS_VENTING, 300)
BOTH: Story = (*HOLD, *CARROTS_UP, "carrots weight is rocking")
BOTH_DIALS_UP: Story = (*BOTH_UP, "green beans pressure is eleven", 60)
BOTH_DIALS: Story = (*BOTH_DIALS_UP, "carrots pressure is eleven")
ACID_IN: Story = (*START_TOMATOES, *VENTING[:2], "> yes", "done", "heat is on", "full boil", 300)
BOTH_BEANS: Story = (
    *HOLD,
    "start seven quarts of green beans raw pack in canner two",
    "> yes",
    *(f"load two {each}" for each in VENTING),
    601,
    "load two weight is on",
    "load two weight is rocking",
)
COOL: Story = (*HOLD, 1501, "heat is off", 2760)
SETTLE: Story = (*COOL, "gauge is at zero")
OUT: Story = (*SETTLE, 601, "lid is off", "jars are out")


@dataclass(frozen=True, slots=True)
class Seed:
    """A kitchen at a moment: its loads, and how it came there."""

    name: str
    loads: tuple[Called, ...]
    story: Story
    two_dials: bool = False
    stages: str = "hold"


SEEDS = (
    Seed("pack", (BEANS,), (*START_BEANS, "seven jars packed"), stages="vent"),
    Seed("behind", (BEANS,), (*START_BEANS, "seven jars packed", "steam is steady"), stages="vent"),
    Seed("behind a boil", (SAUCE,), (*START_SAUCE, "seven jars packed", "full boil"), stages="boil"),
    Seed("not vented", (BEANS,), (*START_BEANS, *VENTING[:3], "weight is on", 60), stages="vent"),
    Seed("canner", (BEANS,), (*START_BEANS, *VENTING[:3]), stages="vent"),
    Seed("vent", (BEANS,), (*START_BEANS, *VENTING, 300), stages="vent"),
    Seed("two vent", (BEANS, CARROTS), BOTH_VENTING, stages="vent"),
    Seed("come up", (BEANS,), UP, stages="vent hold"),
    Seed("hold", (BEANS,), (*HOLD, 600)),
    Seed(
        "hold by weight",
        (LONE_CARROTS,),
        (*CARROTS_HOLD, 300),
    ),
    Seed("boil", (SAUCE,), (*START_SAUCE, *VENTING[:2], "done", "heat is on", "full boil", 300), stages="boil"),
    Seed("steam comes up", (PEACHES,), (*START_PEACHES, *VENTING[:2], "heat is on"), stages="steam"),
    Seed("steam", (PEACHES,), (*START_PEACHES, *VENTING[:2], "heat is on", "steam is steady", 300), stages="steam"),
    Seed("near the end", (BEANS,), (*HOLD, 1490)),
    Seed("just over", (BEANS,), (*HOLD, 1510)),
    Seed("lost", (BEANS,), (*HOLD, 600, "pressure dropped to nine", 60)),
    Seed("lost at zero", (BEANS,), (*HOLD, 600, "pressure is zero", 300)),
    Seed("after a cut", (BEANS,), (*HOLD, 600, "cut 120")),
    Seed("asked for the heat", (BEANS,), (*HOLD, 600, "heat is off")),
    Seed("cool", (BEANS,), COOL, stages="cool"),
    Seed("cool a while", (BEANS,), (*HOLD, 1501, "heat is off", 1200), stages="cool"),
    Seed(
        "two cool",
        (BEANS, CARROTS),
        (*BOTH, 1600, "green beans heat is off", "carrots heat is off", 2800),
        stages="cool",
    ),
    Seed("asked for the weight", (LONE_CARROTS,), (*CARROTS_HOLD, 120.5)),
    Seed("cool just now", (BEANS,), (*HOLD, 1501, "heat is off", 60), stages="cool"),
    Seed("wait at zero", (BEANS,), (*SETTLE, 300), stages="cool"),
    Seed("given up", (BEANS,), (*HOLD, 600, "give up the load", "> yes", 60), stages="cool"),
    Seed("rest", (BEANS,), (*OUT, 7200), stages="rest"),
    Seed("acid left out", (TOMATOES,), (*START_TOMATOES, *VENTING[:2], "heat is on"), stages="boil"),
    Seed("acid in", (TOMATOES,), ACID_IN, stages="boil acid"),
    Seed(
        "acid in, out", (TOMATOES,), (*ACID_IN, 1801, "heat is off", "lid is off", 301, "jars are out"), stages="acid"
    ),
    Seed("altitude corrected", (BEANS,), (*HOLD, 600, "my altitude is five thousand feet", "> yes")),
    Seed("counted", (BEANS,), (*OUT, 43500, "all sealed", "> yes"), stages="rest"),
    Seed("a day later", (BEANS,), (*OUT, 43500, "six sealed one failed", "> yes", 43500), stages="rest"),
    Seed("two hold", (BEANS, CARROTS), (*BOTH, 120)),
    Seed("two hold of the same food", TWINS, (*BOTH_BEANS, 120)),
    Seed("two hold, one near its end", (BEANS, CARROTS), (*BOTH, 670)),
    Seed("two hold, whose heat is off", (BEANS, CARROTS), (*BOTH, 120, "heat is off")),
    Seed("one holds, one cools", (BEANS, CARROTS), (*BOTH, 720, "green beans heat is off", 300), stages="hold cool"),
    Seed(
        "one holds, one rests",
        (BEANS, CARROTS),
        (*OUT, *CARROTS_UP, "carrots weight is rocking", 60),
        stages="hold rest",
    ),
    Seed(
        "one is lost, one cools",
        (BEANS, CARROTS),
        (*BOTH, 720, "green beans heat is off", 300, "carrots weight stopped rocking", 60),
        stages="hold cool",
    ),
    Seed("one holds, one is lost", (BEANS, CARROTS), (*BOTH, 120, "green beans pressure dropped to nine", 60)),
    Seed("two dials hold", (BEANS, DIAL_CARROTS), (*BOTH_DIALS, 120), two_dials=True),
    Seed("one dial holds, one comes up", (BEANS, DIAL_CARROTS), BOTH_DIALS_UP, two_dials=True, stages="vent hold"),
)

_ALWAYS = (
    "> yes",
    "> no",
    "no",
    "scratch that",
    "never mind",
    "the moon is made of cheese",
    "heat is off",
    "heat is on",
    "pressure is nine",
    "pressure is eleven",
    "the pressure is down",
    "how long is left",
    "got it",
    "a jar broke",
    "can i open it",
)
_BY_STAGE = {
    "vent": ("steam is steady", "steam stopped", "no steady steam", "weight is on"),
    "hold": (
        "> not really",
        "the lock has dropped",
        "pressure dropped",
        "the flame went out",
        "gauge is at zero",
        "stop listening",
        "set a timer for ten minutes",
    ),
    "boil": ("full boil", "we lost the boil", "it's barely boiling", "the flame went out", "lid is off"),
    "steam": (
        "steam is steady",
        "steam stopped",
        "the column dropped",
        "no steady steam",
        "full boil",
        "we lost the boil",
        "the flame went out",
        "lid is off",
        "weight is rocking",
    ),
    "acid": ("i forgot the lemon juice", "all sealed"),
    "cool": (
        "gauge is at zero",
        "it's zero",
        "the lock has dropped",
        "it hisses",
        "pressure is four",
        "gauge is not at zero",
        "lid is off",
        "jars are out",
    ),
    "rest": ("all sealed", "one failed", "put it in the refrigerator", "close the load", "done"),
}
_BY_WEIGHT = ("weight is rocking", "weight stopped rocking", "the weight isn't moving")
_BY_NAME = ("> green beans", "> carrots", "> both", "carrots heat is off", "green beans pressure is eleven")
_BY_NUMBER = (
    "> green beans",
    "> load one",
    "> load two",
    "> both",
    "load two heat is off",
    "load one pressure is eleven",
)
EVERYDAY = (
    "the burner went out", "the power is out", "the gas ran out", "i turned it down", "i turned the heat down",
    "it's low", "it's dropping", "the pressure is low", "the pressure is under eleven", "it's at nine", "it's nine",
    "it's down to nine", "the gauge fell", "the needle is falling", "we lost some pressure", "it lost pressure",
    "it was ten", "it's only nine", "it dropped but it's back", "why did the pressure drop", "i opened the petcock",
    "somebody turned the stove off", "the burner went out a minute ago", "the lid is off", "jars are out",
)  # fmt: skip
"""How a loss is told in everyday words: tried as the first step only."""
BOILED_DRY = "the canner boiled dry"
_FAULTS = (
    "they are half gallons",
    "i never put the weight on",
    "i forgot to vent",
    BOILED_DRY,
    "the weight fell off",
    "the gauge is stuck",
)
"""What no gauge shows: tried as the first step."""
_IN_OTHER_WORDS = (
    "can i open the green beans",
    "i opened the petcock",
    "i removed the lid",
    "it's still under pressure",
    "the lock is still up",
    "the needle moved",
    "i misread it",
    "the heat is still on",
    "the weight is still on",
    "give up the load",
    "i poured water over it",
)
"""How it is told or asked while a canner cools: tried as the first step."""
_WAITS: Story = (3.0, 45.0, 180.0, "to just before what is due", "to just after what is due")
_ENDS = ("to just before the end", "to just after the end")
_CUTS = ("cut 3", "cut 120", "cut 7200")


def alphabet(seed: Seed, *, first: bool = False) -> Iterator[Step]:
    """Yield what can be said and happen from a seed on, or as the first step."""
    if first and "hold" in seed.stages:
        yield from EVERYDAY
    if first and {"hold", "cool", "rest", "boil", "steam"} & {*seed.stages.split()}:
        yield from _FAULTS if seed.loads[0].gauge not in WITHOUT_PRESSURE else (BOILED_DRY,)
    if first and "cool" in seed.stages.split():
        yield from _IN_OTHER_WORDS
    yield from _ALWAYS
    for stage in seed.stages.split():
        yield from _BY_STAGE[stage]
    if any(load.gauge == "weighted" for load in seed.loads):
        yield from _BY_WEIGHT
    if len(seed.loads) > 1:
        yield from _BY_NUMBER if seed.loads == TWINS else _BY_NAME
    yield from _WAITS
    yield from _ENDS
    yield from _CUTS
