"""Facts of a practice day: mishaps, when each was reported, and how long calls waited."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from kitchenvoice.process import Event, Kitchen
from kitchenvoice.rehearsal.practice_stove import Sight

__all__ = ["Called", "Incident", "Tally"]

_NOTICES: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "vent_interrupted": frozenset({"steam_stopped"}),
        "pressure_drop": frozenset({"hold_lost", "pressure_low", "weight_quiet", "boil_lost"}),
        "broken_jar": frozenset({"jar_broke"}),
        "failed_seal": frozenset({"seal_count", "tally", "jar_outcome"}),
    }
)
"""Which entries of the record show that a fault was noticed."""

_HERS = "hold_lost"
"""The call that follows the cook's own report and waits for the pressure, not for the cook."""


@dataclass(slots=True)
class Incident:
    """Something that went wrong at `t`; `noticed_t` is when the cook said so, `None` if never or not yet."""

    fault: str
    load: int
    t: float
    noticed_t: float | None = None
    contradicted: bool = False
    """True if the opposite of what there was to be seen was reported."""
    over: bool = False
    """True once it was put right again, noticed or not."""

    @property
    def after_s(self) -> float | None:
        """Seconds from the sight to the report, `None` if there was none."""
        return None if self.noticed_t is None else max(0.0, self.noticed_t - self.t)


@dataclass(slots=True)
class Called:
    """A call, and when somebody answered it or did what it asked for."""

    name: str
    t: float
    answered_t: float | None = None


class Tally:
    """Count while the day goes on."""

    def __init__(self) -> None:
        self.troubles: list[Incident] = []
        self.calls: dict[str, Called] = {}

    def saw(self, sight: Sight, t: float) -> None:
        """Note a sight that was shown at `t`."""
        for trouble in self.troubles if sight.right else ():
            trouble.over = trouble.over or trouble.load == sight.load
        if sight.fault:
            self.troubles.append(Incident(sight.fault, sight.load, t))

    def record(self, events: Sequence[Event], kitchen: Kitchen) -> None:
        """Note the cook's reports, and the open calls."""
        for event in events:
            for trouble in self.troubles:
                if (
                    trouble.noticed_t is None
                    and not trouble.over
                    and trouble.load == event.load
                    and event.t >= trouble.t
                ):
                    self._match(trouble, event, kitchen)
        waiting = {call.key: call for call in kitchen.calls if call.name != _HERS}
        for key, call in waiting.items():
            self.calls.setdefault(f"{key}@{call.since_t}", Called(call.name, call.since_t))
        open_keys = {f"{key}@{call.since_t}" for key, call in waiting.items()}
        for key, called in self.calls.items():
            if key not in open_keys and called.answered_t is None:
                called.answered_t = kitchen.t

    def _match(self, trouble: Incident, event: Event, kitchen: Kitchen) -> None:
        if event.kind in _NOTICES[trouble.fault] and (trouble.fault != "failed_seal" or _names_failure(event)):
            trouble.noticed_t = event.t
        elif _contradicts(trouble, event, kitchen):
            trouble.contradicted = True

    @property
    def missed(self) -> list[Incident]:
        """What went wrong and was never said."""
        return [trouble for trouble in self.troubles if trouble.noticed_t is None]


def _names_failure(event: Event) -> bool:
    failed = event.data.get("failed")
    return event.kind == "jar_outcome" or (isinstance(failed, int) and failed > 0)


def _contradicts(trouble: Incident, event: Event, kitchen: Kitchen) -> bool:
    if trouble.fault == "pressure_drop":
        load = kitchen.load(trouble.load)
        target = load.process.target_psi if load is not None else None
        psi = event.data.get("pressure")
        high = isinstance(psi, int | float) and target is not None and psi >= target
        return (event.kind == "pressure_is" and high) or event.kind in ("weight_rocking", "boiling")
    if trouble.fault == "failed_seal":
        return event.kind == "seal_count"
    return trouble.fault == "vent_interrupted" and event.kind == "steam_steady"
