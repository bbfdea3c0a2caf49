"""A long day in the virtual room, in real audio: the real program is spoken to, calls, is stopped, and loses its sound.

What a cook says in eight hours (about 150 sentences, a timer running nearly all the time) is said in the given minutes.
It fails if the program grows, misses a call, stops hearing, or lets a worker hang. With `--attacked` its board, files
and keyboard are attacked all the time, and no call may be late by more than half a second.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from kitchenvoice.rehearsal.cook import voice

from .attacked import PORT, Siege
from .kitchen import Kitchen, Program

ECHO_DB = -12
MOST_GROWTH_MB = {0.0: 10.0, 20.0: 5.0}
"""From so many minutes on. A short run ends before the engine's stores are full (see `WARM_UP`), so it finds no small
leak, only one of several megabytes a minute."""
WARM_UP_MINUTES = 1.8
WARM_UP = 0.5
"""Memory counts after these minutes and this share of the time: the engine's stores grow with the most difficult
sentence so far, and then no more. Measured: in three minutes 230, 238, 242, 243, 248, 251, 256.0, 256.1, 256.3 and
256.4 MB, in thirty 238, 239, 254, 255, 256, 260.9, 261.1, 261.8, 261.9 and 262.1 MB in each tenth."""
LEAST_UNDERSTOOD = 0.8
"""Below this it has stopped hearing. How well it hears is measured elsewhere."""
COOK = "flite slt"
LATE_S = 3.0
"""How late a timer's call may begin to sound: it waits for what is being said, and rendering takes its time."""
LATE_UNDER_ATTACK_S = 0.5
KILLED_EACH_MINUTES = 10.0
"""How often the sound daemon is killed; once at least."""
SAID = (
    ("kitchen voice where are we", "where_are_we"),
    ("kitchen voice how much salt", None),
    ("kitchen voice how much time is left", "ask_time"),
    ("did you see the neighbor's dog again today", None),
    ("kitchen voice help", "help"),
    ("pass me the big spoon please", None),
    ("kitchen voice repeat that", "repeat"),
)
"""Sentences in turn, and which intent has to come of each; `None`: nothing is asked of it, or it isn't for us."""


@dataclass
class Day:
    """What was seen."""

    said: int = 0
    expected: int = 0
    understood: int = 0
    calls_due: int = 0
    calls_made: int = 0
    lateness_s: list[float] = field(default_factory=list)
    stops_tried: int = 0
    stops_obeyed: int = 0
    own_voice: int = 0
    memory_mb: list[tuple[float, float]] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


class Soak:
    """One run."""

    def __init__(self, kitchen: Kitchen, minutes: float, *, attacked: bool = False) -> None:
        self._kitchen = kitchen
        self._program = kitchen.start(*(("--board", f"0.0.0.0:{PORT}") if attacked else ()))
        self._attacked = attacked
        self.siege: Siege | None = None
        self._begin = time.perf_counter()
        self._seconds = minutes * 60
        self._timer_due: float | None = None
        kills = max(1, round(minutes / KILLED_EACH_MINUTES))
        self._kills = [(number + 0.5) / kills for number in range(kills)]
        self.day = Day()

    @property
    def gone(self) -> float:
        """Share of the time that is over."""
        return (time.perf_counter() - self._begin) / self._seconds

    def run(self) -> Day:
        """Live through the day."""
        self._kitchen.speaker.wait_quiet(0.0)
        if self._attacked:  # once it has found out what of the ear this machine can carry
            self.siege = Siege(self._program, self._seconds + 120)
        turn = 0
        while self.gone < 1.0:
            if self._timer_due is None and self.gone < 1.0 - 75 / self._seconds:
                self._set_timer()
            elif self._timer_due is not None and time.perf_counter() > self._timer_due - 12:
                self._await_call()
            elif self._kills and self.gone > self._kills[0]:
                self._lose_sound()
            elif turn % 6 == 4:
                self._talk_over()
            else:
                self._say(*SAID[turn % len(SAID)])
            turn += 1
            self.day.memory_mb.append((self.gone, resident_mb(self._program.process.pid)))
        if self._timer_due is not None:
            self._await_call()
        if self.siege is not None:
            self.siege.lift()
        self._look_for_faults()
        return self.day

    # ------------------------------------------------------------ what the cook does

    def _heard(self, since_t: float, intent: str, limit_s: float = 6.0) -> bool:
        """Wait until it was understood, and until the answer begins: a cook doesn't talk into it."""
        heard = self._came(lambda: bool(self._program.lines(since_t, who="heard", event=intent)), limit_s)
        if heard and intent != "quiet":
            heard_t = time.perf_counter()
            with suppress(AssertionError):
                self._kitchen.speaker.wait_loud(heard_t, 3.0)
        return heard

    def _came(self, condition: Callable[[], bool], limit_s: float) -> bool:
        try:
            self._program.wait(condition, str, limit_s)
        except AssertionError:
            return False
        return True

    def _speak(self, text: str) -> float:
        """Say it, once nothing else sounds; return when it began."""
        self._quiet()
        began = time.perf_counter()
        self.day.said += 1
        self._kitchen.say(voice(COOK).say(text))
        return began

    def _quiet(self) -> None:
        speaker = self._kitchen.speaker
        end = time.perf_counter() + 40.0
        while time.perf_counter() < end:
            loud = speaker.loud_times(time.perf_counter() - 1.2)
            if not loud:
                return
            time.sleep(0.1)

    def _say(self, text: str, intent: str | None) -> None:
        began = self._speak(text)
        if intent is None:
            time.sleep(2.0)
            return
        self.day.expected += 1
        understood = self._heard(began, intent)
        self.day.understood += understood
        if not understood:
            heard = [line.get("text") for line in self._program.lines(began - 0.5, who="heard")]
            self.day.missed.append(f"{began - self._begin:.0f} s: {text!r} as {heard}")

    def _set_timer(self) -> None:
        for _ in range(3):
            began = self._speak("kitchen voice set a timer for one minute")
            if self._heard(began, "timer_start"):
                (t,) = [t for t, line in self._program.pieces if t > began and line.get("event") == "timer_start"][:1]
                self._timer_due = t + 60.0
                return
        self.day.faults.append("a timer couldn't be set in three tries")

    def _await_call(self) -> None:
        due, self._timer_due = self._timer_due or 0.0, None
        self.day.calls_due += 1
        time.sleep(max(0.0, due - time.perf_counter()))

        def called() -> list[float]:
            lines = [(t, str(line.get("text"))) for t, line in self._program.pieces if t > due - 2.0]
            return [t for t, text in lines if re.search(r"timer|minute", text, re.IGNORECASE) and "up" in text]

        if self._came(lambda: bool(called()), LATE_S + 1.0):
            sounded = self._kitchen.speaker.wait_loud(called()[0], 10.0)
            self.day.lateness_s.append(sounded - due)
            self.day.calls_made += sounded - due < LATE_S
        else:
            self.day.faults.append(f"no call at {due - self._begin:.0f} s")
        for _ in range(4):
            if self._heard(self._speak("kitchen voice i'm coming"), "answer_call"):
                return
        self.day.faults.append("a call couldn't be answered in four tries")

    def _talk_over(self) -> None:
        """Ask for something long, and stop it."""
        began = self._speak("kitchen voice help")
        if not self._heard(began, "help"):
            return
        talking = self._kitchen.speaker.wait_loud(began + 1.0, 10.0)
        time.sleep(1.0)
        self.day.stops_tried += 1
        self._kitchen.say(voice(COOK).say("stop talking"))
        self.day.stops_obeyed += self._heard(talking, "quiet", 3.0)

    def _lose_sound(self) -> None:
        self._kills.pop(0)
        killed = self._kitchen.kill_daemon()
        if not self._told("microphone gives no sound", killed, 3.0):
            self.day.faults.append("the loss of all sound wasn't told of in 3 s")
        back = self._kitchen.revive_daemon()
        if not self._told("microphone is back", back, 5.0):
            self.day.faults.append("sound wasn't taken again in 5 s")
        with suppress(AssertionError):
            self._kitchen.speaker.wait_loud(back, 3.0)  # it says so; a cook doesn't talk into that

    def _told(self, words: str, since_t: float, limit_s: float) -> bool:
        lines = self._program.lines
        return self._came(lambda: any(words in str(line["text"]) for line in lines(since_t, who="trouble")), limit_s)

    def _look_for_faults(self) -> None:
        troubles = [line["text"] for line in self._program.lines(who="trouble")]
        self.day.faults += [text for text in troubles if "went wrong" in text or "got stuck" in text]
        if self._program.process.poll() is not None:
            self.day.faults.append("the program ended")
        if errors := self._program.errors.read_text():
            self.day.faults.append(errors[-500:])


def resident_mb(pid: int) -> float:
    """Return a process's resident memory in megabytes."""
    pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def growth_mb(memory_mb: list[tuple[float, float]], minutes: float) -> float:
    """Return by how much memory grew from after the warm-up to the end: middles of a fifth of the time each."""
    warm = max(WARM_UP, WARM_UP_MINUTES / minutes)
    early = [mb for gone, mb in memory_mb if warm <= gone < warm + 0.2]
    late = [mb for gone, mb in memory_mb if gone >= 0.8]
    return statistics.median(late) - statistics.median(early) if early and late else 0.0


def tenths(memory_mb: list[tuple[float, float]]) -> list[float]:
    """Return the middle of each tenth of the time, in megabytes."""
    parts = [[mb for gone, mb in memory_mb if number <= 10 * gone < number + 1] for number in range(10)]
    return [statistics.median(part) for part in parts if part]


def verdict(day: Day, minutes: float, *, attacked: bool = False) -> list[str]:
    """Return what went wrong; empty if nothing did."""
    wrong = list(day.faults)
    if attacked and max(day.lateness_s, default=0.0) > LATE_UNDER_ATTACK_S:
        wrong.append(f"a call was late by {max(day.lateness_s):.2f} s")
    most_mb = max((least, most) for least, most in MOST_GROWTH_MB.items() if minutes >= least)[1]
    if (growth := growth_mb(day.memory_mb, minutes)) > most_mb:
        wrong.append(f"memory grew by {growth:.1f} MB")
    if day.calls_made < day.calls_due or not day.calls_due:
        wrong.append(f"{day.calls_made} of {day.calls_due} calls were made in time")
    if day.understood < LEAST_UNDERSTOOD * day.expected:
        wrong.append(f"only {day.understood} of {day.expected} sentences were understood")
    return wrong


def soak(folder: Path, minutes: float, *, attacked: bool = False) -> tuple[Day, Program, Siege | None]:
    """Run it in a room of its own."""
    kitchen = Kitchen(folder, echo_db=ECHO_DB)
    try:
        kitchen.know_the_program()
        kitchen.set_pace(200, "brief")
        run = Soak(kitchen, minutes, attacked=attacked)
        return run.run(), run._program, run.siege
    finally:
        kitchen.close()


def main(arguments: list[str] | None = None) -> int:
    """Run and print one JSON object; exit 1 if something went wrong."""
    parser = argparse.ArgumentParser(prog="scripts/soak", description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--minutes", type=float, default=30.0, help="how long, in real time (default 30)")
    parser.add_argument("--story", type=Path, help="write every line of the program into this file, with its time")
    parser.add_argument("--attacked", action="store_true", help="attack board, files and keyboard meanwhile")
    given = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="soak-") as folder:
        day, program, siege = soak(Path(folder), given.minutes, attacked=given.attacked)
    if given.story is not None:
        began = program.pieces[0][0]
        given.story.write_text("".join(f"{t - began:8.2f} {line}\n" for t, line in program.pieces))
    told: dict[str, Any] = {
        "minutes": given.minutes,
        "said": day.said,
        "understood": f"{day.understood} of {day.expected}",
        "calls": f"{day.calls_made} of {day.calls_due}",
        "latest_call_s": round(max(day.lateness_s, default=0.0), 2),
        "stops": f"{day.stops_obeyed} of {day.stops_tried}",
        "memory_mb": [round(day.memory_mb[0][1], 1), round(day.memory_mb[-1][1], 1)],
        "missed": day.missed,
        "memory_each_tenth_mb": [round(mb, 1) for mb in tenths(day.memory_mb)],
        "growth_after_warm_up_mb": round(growth_mb(day.memory_mb, given.minutes), 2),
        "load_average": round(os.getloadavg()[0], 1),
        "wrong": verdict(day, given.minutes, attacked=given.attacked),
    }
    if siege is not None:
        told["late_calls_s"] = [round(late_s, 2) for late_s in sorted(day.lateness_s)]
        told["attacks"] = {"connections": siege.connections, "harms": siege.harms, "lines": siege.lines}
    sys.stdout.write(json.dumps(told) + "\n")
    return 1 if told["wrong"] else 0


if __name__ == "__main__":
    sys.exit(main())
