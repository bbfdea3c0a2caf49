"""The stove of a practice day: the sights of a load, their times, and its mishaps.

Nothing here knows a clock or a sound: give it the kitchen and the time, it gives the sights that are new. What goes
wrong, and when, is drawn from the random source it was made with, so that the same seed gives the same day.
"""

from __future__ import annotations

import random
from collections.abc import Collection
from dataclasses import dataclass, field, replace

from kitchenvoice.process import Kitchen, Load, Stage

__all__ = ["FAULTS", "PATIENCE_S", "Sight", "Stove"]

FAULTS = ("vent_interrupted", "pressure_drop", "broken_jar", "failed_seal")
"""What can go wrong."""

PATIENCE_S = 60.0
"""So long a sight waits for its report before the day goes on without it."""

_STEAM_AFTER_S = 180.0
_BOIL_AFTER_S = 240.0
_COME_UP_S = 240.0
_BACK_AFTER_S = 120.0
_ZERO_AFTER_S = 2760.0
_DROP_PSI = 2.0
_HEATED = frozenset({Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD})


@dataclass(frozen=True, slots=True)
class Sight:
    """A sight at the stove: `key` and `values` make its sentence; `fault` names a mishap.

    `right` tells that what went wrong is over.
    """

    load: int
    key: str
    values: dict[str, float] = field(default_factory=dict)
    fault: str = ""
    right: bool = False


@dataclass(slots=True)
class _Scene:
    """Record of the sights shown for one load in its present stage."""

    stage: Stage
    since_t: float
    shown: set[str] = field(default_factory=set)
    wrong_t: float | None = None


class Stove:
    """One stove with whatever loads are on it."""

    def __init__(self, chance: random.Random, faults: Collection[str] = FAULTS) -> None:
        self._left = set(faults)
        self._scenes: dict[int, _Scene] = {}
        self._vent_at = chance.uniform(0.3, 0.7)
        self._drop_at = chance.uniform(0.3, 0.7)

    def look(self, kitchen: Kitchen, t: float) -> tuple[Sight, ...]:
        """Return the signs that have become visible by `t`."""
        found = (self._of(load, t) for load in kitchen.open_loads)
        return tuple(sight for sight in found if sight is not None)

    def now(self, load: Load) -> Sight:
        """Return the look of a holding load's gauge, weight or water."""
        scene = self._scenes.get(load.id)
        wrong = scene is not None and scene.wrong_t is not None
        return _dropped(load, "") if wrong or load.heat_off else _there(load)

    def _of(self, load: Load, t: float) -> Sight | None:
        scene = self._scenes.get(load.id)
        if scene is None or scene.stage is not load.stage:
            scene = self._scenes[load.id] = _Scene(load.stage, t)
        if load.heat_off and load.stage in _HEATED:
            scene.since_t = t  # nothing comes up again before the heat is on
            return None
        match load.stage:
            case Stage.CANNER:
                return self._canner(load, scene, t)
            case Stage.VENT:
                return self._vent(load, scene, t)
            case Stage.COME_UP:
                return self._once(scene, t - scene.since_t >= _COME_UP_S, _there(load))
            case Stage.HOLD:
                return self._hold(load, scene, t)
            case Stage.COOL:
                return self._cool(load, scene, t)
            case Stage.COUNT:
                return self._count(load, scene)
        return None

    def _once(self, scene: _Scene, due: bool, sight: Sight, mark: str = "") -> Sight | None:
        if not due or (mark or sight.key) in scene.shown:
            return None
        scene.shown.add(mark or sight.key)
        return sight

    def _canner(self, load: Load, scene: _Scene, t: float) -> Sight | None:
        wait, key = (_STEAM_AFTER_S, "steam") if load.process.is_pressure else (_BOIL_AFTER_S, "boil")
        return self._once(scene, t - scene.since_t >= wait, Sight(load.id, key))

    def _vent(self, load: Load, scene: _Scene, t: float) -> Sight | None:
        timer = load.timer("vent")
        if timer is not None and scene.wrong_t is None:
            due = t - timer.started_t >= self._vent_at * timer.seconds and t < timer.due_t
            if due and self._goes_wrong("vent_interrupted"):
                scene.wrong_t = t
                return Sight(load.id, "steam_stopped", fault="vent_interrupted")
            return None
        if timer is None and scene.wrong_t is None:
            return None  # done, or broken off by the cook's own report: the steam goes on
        return self._over(scene, t, noticed=timer is None, sight=Sight(load.id, "steam_again"))

    def _hold(self, load: Load, scene: _Scene, t: float) -> Sight | None:
        hold = load.hold
        if hold is None or hold.done:
            return None
        if hold.running and scene.wrong_t is None:
            due = t - hold.started_t >= self._drop_at * 60 * load.process.minutes
            if due and self._goes_wrong("pressure_drop"):
                scene.wrong_t = t
                return _dropped(load, "pressure_drop")
            return None
        if hold.lost_t is not None and scene.wrong_t is None:
            back = t - max(hold.lost_t, scene.since_t) >= _BACK_AFTER_S
            return self._once(scene, back, _there(load), f"back:{hold.started_t}")
        return self._over(scene, t, noticed=not hold.running, sight=_there(load))

    def _over(self, scene: _Scene, t: float, *, noticed: bool, sight: Sight) -> Sight | None:
        """Put right what went wrong: a while after it was noticed, or when nobody notices it."""
        assert scene.wrong_t is not None
        if t - scene.wrong_t < (_BACK_AFTER_S if noticed else PATIENCE_S):
            return None
        scene.wrong_t = None
        return replace(sight, right=True)

    def _cool(self, load: Load, scene: _Scene, t: float) -> Sight | None:
        if load.process.is_pressure and not load.at_zero:
            return self._once(scene, t - scene.since_t >= _ZERO_AFTER_S, Sight(load.id, "zero"))
        if not load.lid_off or "lid_off" in scene.shown:
            return None
        scene.shown.add("lid_off")
        if load.standing > 1 and self._goes_wrong("broken_jar"):
            return Sight(load.id, "broken", fault="broken_jar")
        return None

    def _count(self, load: Load, scene: _Scene) -> Sight | None:
        if "seals" in scene.shown or load.sealed is not None:
            return None
        scene.shown.add("seals")
        standing = load.standing
        if standing > 1 and self._goes_wrong("failed_seal"):
            return Sight(load.id, "one_failed", {"sealed": standing - 1}, "failed_seal")
        return Sight(load.id, "all_sealed", {"sealed": standing})

    def _goes_wrong(self, fault: str) -> bool:
        """Let it go wrong if it is to, once."""
        if fault not in self._left:
            return False
        self._left.discard(fault)
        return True


def _there(load: Load) -> Sight:
    """Pressure or boil as it should be."""
    if load.process.is_dial:
        return Sight(load.id, "gauge", {"psi": load.process.target_psi or 0})
    return Sight(load.id, "rocking" if load.process.is_pressure else "boil")


def _dropped(load: Load, fault: str) -> Sight:
    """Pressure or boil lost."""
    if load.process.is_dial:
        psi = max(0.0, (load.process.target_psi or 0) - _DROP_PSI)
        return Sight(load.id, "gauge", {"psi": psi}, fault)
    return Sight(load.id, "quiet" if load.process.is_pressure else "no_boil", fault=fault)
