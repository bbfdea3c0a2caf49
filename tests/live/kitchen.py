"""A kitchen of software: a virtual sound card, the real program in it as a process, a cook at its microphone."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

from kitchenvoice.clock import SystemClock
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.logbook.tables.files import connect_reader
from kitchenvoice.ports import EAR_RATE_HZ, Samples
from kitchenvoice.process import Event
from tests.profiles import profile_text

ROOT = Path(__file__).parents[2]
OF_THE_TREE = (sys.executable, "-m", "kitchenvoice")
LOUD = 300
"""Above the noise that wakes a sink (12), below any speech."""


def virtual_room(verb: str, folder: Path, *more: str) -> dict[str, str]:
    """Run scripts/virtual_room; return the variables that point a program at the room."""
    command = [sys.executable, str(ROOT / "scripts" / "virtual_room"), verb, str(folder), *more]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return {name: value.strip("'") for name, value in re.findall(r"(\w+)=(\S+)", done.stdout)}


class Stream:
    """What arrived in a thread of its own, with the time of each piece; waits for what is to come."""

    def __init__(self) -> None:
        self.pieces: list[tuple[float, Any]] = []
        self._changed = threading.Condition()

    def put(self, piece: Any) -> None:
        """Note a piece that has just arrived."""
        with self._changed:
            self.pieces.append((time.perf_counter(), piece))
            self._changed.notify_all()

    def wait(self, condition: Callable[[], bool], otherwise: Callable[[], str], limit_s: float) -> None:
        """Wait until it is so, looking at each new piece; fail after `limit_s`."""
        with self._changed:
            assert self._changed.wait_for(condition, limit_s), otherwise()


class Recording(Stream):
    """A recording of what the virtual loudspeaker plays (or of what is played in the room), in pieces of 10 ms."""

    def __init__(self, environment: dict[str, str], device: str = "speaker.monitor") -> None:
        super().__init__()
        command = ["parec", f"--device={device}", f"--rate={EAR_RATE_HZ}", "--channels=1", "--format=s16le"]
        self._recorder = subprocess.Popen(
            [*command, "--latency-msec=10", "--raw"], stdout=subprocess.PIPE, env=os.environ | environment
        )
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        self.wait(lambda: bool(self.pieces), lambda: "the recorder never started", 10.0)

    def _read(self) -> None:
        assert self._recorder.stdout is not None
        while block := self._recorder.stdout.read(320):
            self.put(np.frombuffer(block, dtype=np.int16))

    def loud_times(self, since_t: float) -> list[float]:
        """Return when loud pieces arrived."""
        return [t for t, block in self.pieces if t >= since_t and np.abs(block).max(initial=0) > LOUD]

    def wait_loud(self, since_t: float, limit_s: float) -> float:
        """Wait for the first loud piece; return when it came."""
        self.wait(lambda: bool(self.loud_times(since_t)), lambda: "nothing was said", limit_s)
        return self.loud_times(since_t)[0]

    def wait_quiet(self, since_t: float, seconds: float = 1.2, limit_s: float = 60.0) -> None:
        """Wait until something was said and then nothing for so long."""

        def quiet() -> bool:
            loud = self.loud_times(since_t)
            return bool(loud) and self.pieces[-1][0] - loud[-1] > seconds

        self.wait(quiet, lambda: "it never fell silent", limit_s)

    def samples(self, since_t: float) -> Samples:
        """Return what came since then."""
        return np.concatenate([block for t, block in self.pieces if t >= since_t])

    def close(self) -> None:
        """End the recorder. Safe to call twice."""
        if self._recorder.stdout is not None and self._recorder.stdout.closed:
            return
        self._recorder.terminate()
        self._recorder.wait(5.0)
        self._reader.join(5.0)
        assert self._recorder.stdout is not None
        self._recorder.stdout.close()


class Program(Stream):
    """`kitchenvoice` as a process of its own; its lines arrive as objects."""

    def __init__(
        self,
        home: Path,
        environment: dict[str, str],
        verb: str,
        *more: str,
        keyboard: int = subprocess.PIPE,
        command: Sequence[str | Path] = OF_THE_TREE,
    ) -> None:
        super().__init__()
        self.home = home
        self.errors = home.parent / "stderr.txt"
        with self.errors.open("a") as errors:
            self.process = subprocess.Popen(
                [*command, verb, *more],
                stdin=keyboard,
                stdout=subprocess.PIPE,
                stderr=errors,
                text=True,
                env=os.environ | environment | {"KITCHENVOICE_HOME": str(home)},
            )
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.put(json.loads(line))

    def lines(self, since_t: float = 0.0, **fields: str) -> list[dict[str, Any]]:
        """Return the lines since then that have these values."""
        return [
            line
            for t, line in self.pieces
            if t >= since_t and all(line.get(name) == value for name, value in fields.items())
        ]

    def wait_line(self, since_t: float = 0.0, limit_s: float = 30.0, **fields: str) -> dict[str, Any]:
        """Wait for a line that has these values."""
        self.wait(lambda: bool(self.lines(since_t, **fields)), lambda: f"no {fields} in {self.story()}", limit_s)
        return self.lines(since_t, **fields)[0]

    def hears(self, since_t: float, limit_s: float, **fields: object) -> bool:
        """Wait until it heard something with these fields; False if it didn't in time."""
        with self._changed:
            return self._changed.wait_for(lambda: bool(self.lines(since_t, who="heard", **fields)), limit_s)

    def wait_said(self, words: str, since_t: float = 0.0, limit_s: float = 30.0) -> str:
        """Wait until the program says a text with these words in it."""

        def said() -> list[str]:
            told = self.lines(since_t, who="kitchenvoice") + self.lines(since_t, who="trouble")
            return [line["text"] for line in told if words in line["text"]]

        self.wait(lambda: bool(said()), lambda: f"never said {words!r}: {self.story()}", limit_s)
        return said()[0]

    def type(self, *lines: str) -> None:
        """Type sentences at its keyboard."""
        assert self.process.stdin is not None
        for line in lines:
            self.process.stdin.write(line + "\n")
        self.process.stdin.flush()

    def story(self) -> str:
        """Return all lines, for a message."""
        return "\n".join(str(line) for _, line in self.pieces) + self.errors.read_text()

    def events(self, kind: str) -> list[dict[str, Any]]:
        """Return the data of the entries of that kind from the database."""
        with closing(connect_reader(self.home / "logbook.sqlite3")) as database:
            rows = database.execute("SELECT data FROM event WHERE kind = ? ORDER BY seq", (kind,)).fetchall()
        return [json.loads(row[0]) for row in rows]

    def kill(self) -> None:
        """End it as a power cut does."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(10.0)

    def close(self) -> None:
        """End it if it still runs."""
        if self.process.poll() is None:
            self.kill()
        self._reader.join(5.0)
        for pipe in (self.process.stdin, self.process.stdout):
            if pipe is not None:
                pipe.close()


class Kitchen:
    """Room, cook and recorder; `start` puts the program into it."""

    def __init__(
        self, folder: Path, *, echo_db: int | None = None, command: Sequence[str | Path] = OF_THE_TREE
    ) -> None:
        """Open the kitchen; the microphone hears the loudspeaker at `echo_db` below what it plays, if given."""
        self.folder, self._command = folder, command
        self._echo = [] if echo_db is None else [str(echo_db)]
        self.environment = virtual_room("start", folder / "room", *self._echo)
        self.speaker = Recording(self.environment)
        self.programs: list[Program] = []
        self.home = folder / "home"
        self.home.mkdir()
        self.set_pace(165, "full")

    def set_pace(self, rate_wpm: int, level: str) -> None:
        """Write the profile: how fast and how much the program speaks."""
        pace = f'speech_level = "{level}"\nspeech_rate_wpm = {rate_wpm}\n'
        (self.home / "profile.toml").write_text(pace + profile_text(900, date.today()))

    def know_the_program(self) -> None:
        """Have one session in the record, so that the next one needn't introduce itself: that takes ten seconds."""
        now = SystemClock().now()
        with SqliteLog(self.home) as log:
            log.append([Event(seq=1, t=now.utc, kind="session_start", load=None, data={"off_s": 0.0}, heard="")], now)

    def launch(self, verb: str = "start", *more: str) -> Program:
        """Start the program."""
        program = Program(self.home, self.environment, verb, *more, command=self._command)
        self.programs.append(program)
        return program

    def start(self, *more: str) -> Program:
        """Start the program and wait until it listens."""
        program = self.launch("start", *more)
        program.wait_line(event="listening", limit_s=60.0)
        return program

    def say(self, sound: Samples) -> float:
        """Play what the cook says into the microphone; return when it was over."""
        quiet = np.random.default_rng(1).integers(-3, 4, 3200).astype(np.int16)
        padded = np.concatenate([quiet, sound])
        words = ["paplay", "--raw", f"--rate={EAR_RATE_HZ}", "--channels=1", "--format=s16le", "--device=room"]
        file = self.folder / "said.raw"
        file.write_bytes(padded.tobytes())
        subprocess.run([*words, str(file)], check=True, env=os.environ | self.environment, timeout=60.0)
        return time.perf_counter()

    def kill_daemon(self) -> float:
        """Kill the sound daemon; return when."""
        os.kill(int((self.folder / "room" / "pid").read_text()), signal.SIGKILL)
        return time.perf_counter()

    def revive_daemon(self) -> float:
        """Start sound daemon and recorder again; return when that began: the program can be back before its end."""
        self.speaker.close()
        back_t = time.perf_counter()
        virtual_room("start", self.folder / "room", *self._echo)
        self.speaker = Recording(self.environment)
        return back_t

    def hear_again(self) -> None:
        """Open the recorder at the loudspeaker again, after that was away."""
        self.speaker = Recording(self.environment)

    def close(self) -> None:
        """End all of it."""
        for program in self.programs:
            program.close()
        self.speaker.close()
        virtual_room("stop", self.folder / "room")
