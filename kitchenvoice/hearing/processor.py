"""How long work takes on this machine by itself: others that want its cores don't count, a limit from outside does."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path, PurePosixPath

__all__ = ["allowed_share", "taken_s"]

_SCHEDULED = Path("/proc/thread-self/schedstat")
_GROUPS, _MOUNTED = Path("/proc/self/cgroup"), Path("/sys/fs/cgroup")


def taken_s(work: Callable[[], None]) -> float:
    """Return the seconds that `work` takes: the time on the wall without that spent waiting for a core.

    That includes what a stopped process loses. It is at least the processor time by the share of a core that may be
    had, because some kernels take a process that has used up its share for one that waits.
    """
    waited, wall, processor = _waited_s(), time.perf_counter(), time.thread_time()
    work()
    processor, wall, after = time.thread_time() - processor, time.perf_counter() - wall, _waited_s()
    alone = processor if waited is None or after is None else wall - (after - waited)
    return max(alone, processor / allowed_share())


def _waited_s() -> float | None:
    """Return for how long this thread was ready and had no core, seconds, if the kernel tells."""
    with suppress(OSError, ValueError, IndexError):
        return int(_SCHEDULED.read_text().split()[1]) / 1e9
    return None


def allowed_share(groups: Path = _GROUPS, mounted: Path = _MOUNTED) -> float:
    """Return the share of one core that the control groups of this process leave to it, at most 1."""
    shares = [1.0]
    with suppress(OSError, ValueError):
        for line in groups.read_text().splitlines():
            _, controllers, group = line.split(":", 2)
            if controllers and "cpu" not in controllers.split(","):
                continue
            for folder in (group, *map(str, PurePosixPath(group).parents)):
                shares += _shares(mounted / controllers / folder.lstrip("/"))
    return min(shares)


def _shares(folder: Path) -> Iterator[float]:
    """Yield the share that this control group allows, by either version of the kernel's files, if it limits it."""
    with suppress(OSError, ValueError):
        quota, period = (folder / "cpu.max").read_text().split()
        yield int(quota) / int(period)
    with suppress(OSError, ValueError):
        quota, period = ((folder / f"cpu.cfs_{name}_us").read_text() for name in ("quota", "period"))
        if int(quota) > 0:
            yield int(quota) / int(period)
