"""Parts of the ear that a machine can carry, by the time it takes for a trial. Pure: the measurement is handed in.

What a slow machine lacks isn't time while the cook speaks but time after the last word, when everything beside the
first recogniser has its say. So a part is kept as long as that wait stays short.
"""

from __future__ import annotations

from dataclasses import dataclass

from kitchenvoice.hearing.thresholds import MOST_WORK_S, WORK_AFTER

__all__ = ["EVERYTHING", "Parts", "parts_for"]


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts of the ear. A machine without the `first` one has it nevertheless, but can't follow speech."""

    first: bool = True
    cleaned: bool = True
    answers: bool = True
    second: bool = True
    again: bool = True

    def told(self) -> str:
        """Return a sentence on the parts left out, and the price."""
        missing = [name for part, name in _NAMES.items() if not getattr(self, part)]
        if not self.first:
            return "this computer can't follow speech. Use a faster one, or type: kitchenvoice start --typed"
        if not missing:
            return "fast enough for the whole ear"
        listed = " and ".join((", ".join(missing[:-1]), missing[-1]) if missing[1:] else missing)
        return f"too slow, or too busy now, for {listed}, so in noise you will be asked to say more things again"


EVERYTHING = Parts()
_NAMES = {
    "cleaned": "more than one way of noise reduction",
    "answers": "the ear for answers",
    "second": "the second engine",
    "again": "hearing again what is in doubt",
}


def parts_for(trial_s: float, cores: int) -> Parts:
    """Return the load for a machine by its time for the trial, `trial_s`, and its cores.

    The parts stand in the order of what is gained for their work, and none is kept after one that isn't. What is heard
    again is heard on two cores, if there are two.
    """
    kept, work = {}, 0.0
    for part, more in WORK_AFTER.items():
        work += more / 2 if part == "again" and cores > 1 else more
        kept[part] = work * trial_s <= MOST_WORK_S
    return Parts(**kept)
