"""A real `kitchenvoice start --typed` in a separate process: type a line, wait for an answer, kill it."""

from __future__ import annotations

import json
import os
import queue
import signal
import subprocess
import sys
import threading
import time
from datetime import date
from pathlib import Path

from tests.profiles import profile_text

__all__ = ["PROFILE", "Started"]

PROFILE = profile_text(800, date(2026, 5, 6))

_PATIENCE_S = 30.0


class Started:
    """One running session."""

    def __init__(self, home: Path) -> None:
        self.begun = time.perf_counter()
        self.told: list[str] = []
        self.recorded = 0
        """Number of entries that it has shown as recorded."""
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._program = subprocess.Popen(
            [sys.executable, "-m", "kitchenvoice", "start", "--typed"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
            env=os.environ | {"KITCHENVOICE_HOME": str(home)},
        )  # fmt: skip
        self._reading = threading.Thread(target=self._read, daemon=True)
        self._reading.start()

    def _read(self) -> None:
        assert self._program.stdout is not None
        for line in self._program.stdout:
            if not line.endswith("\n"):
                break  # killed in the middle of a line
            told = json.loads(line)
            self.recorded += told["who"] == "log"
            if told["who"] in ("kitchenvoice", "trouble", "start"):
                self._lines.put(told["text"])
        self._lines.put(None)

    def wait_for(self, words: str) -> str:
        """Wait for a printed line with these words; return it."""
        end = time.perf_counter() + _PATIENCE_S
        while time.perf_counter() < end:
            try:
                line = self._lines.get(timeout=0.5)
            except queue.Empty:
                continue
            if line is None:
                break
            self.told.append(line)
            if words in line:
                return line
        raise AssertionError(f"{words!r} wasn't told, but {self.told}")

    def type_in(self, *lines: str) -> None:
        """Type lines."""
        assert self._program.stdin is not None
        for line in lines:
            self._program.stdin.write(f"{line}\n")
        self._program.stdin.flush()

    def processor_s(self) -> float:
        """Return the processor time used so far, of all threads."""
        fields = Path(f"/proc/{self._program.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def signal(self, number: signal.Signals) -> None:
        """Send it a signal."""
        self._program.send_signal(number)

    def wait(self, patience_s: float) -> int:
        """Wait until it has ended. Raises: subprocess.TimeoutExpired."""
        return self._program.wait(patience_s)

    def kill(self) -> None:
        """Kill it, as a power cut does."""
        self._program.send_signal(signal.SIGKILL)
        with self._program:  # which closes its pipes
            self._program.wait()
            self._reading.join()

    def end(self) -> int:
        """Close the keyboard; return the exit code. Standard error must be empty."""
        assert self._program.stdin is not None
        assert self._program.stderr is not None
        with self._program:
            self._program.stdin.close()
            code = self._program.wait(_PATIENCE_S)
            while (line := self._lines.get(timeout=_PATIENCE_S)) is not None:
                self.told.append(line)
            complained = self._program.stderr.read()
        assert complained == "", complained
        return code
