"""The wheel in an empty environment, away from the work tree: all of the program is in it, and it works."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from dataclasses import dataclass
from datetime import date
from email import message_from_string
from pathlib import Path
from typing import Any

import pytest

from kitchenvoice.hearing.recognise.model_store import verified_model
from kitchenvoice.rehearsal.cook import voice
from tests.live.kitchen import Kitchen
from tests.profiles import profile_text

ROOT = Path(__file__).parents[2]
VERSION = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["version"]
ENOUGH_S = 900
"""To bring all packages over a slow network; about half a minute where pip has them."""

pytestmark = [pytest.mark.wheel, pytest.mark.timeout(ENOUGH_S)]


def run(folder: Path, *command: str | Path, text: str = "", **environment: str) -> tuple[int, str, str]:
    """Run a program in a folder, with nothing of this work tree in its surroundings."""
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "KITCHENVOICE", "VIRTUAL"))
    }
    done = subprocess.run(
        command, cwd=folder, input=text, capture_output=True, text=True, check=False, timeout=ENOUGH_S,
        env=kept | environment,
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty environment, then the locked packages in it; return its folder."""
    folder = tmp_path_factory.mktemp("elsewhere") / "environment"
    install = f". '{ROOT}/scripts/_lib.sh'; venv='{folder}'; install_locked build && install_locked kitchen"
    for command in ([sys.executable, "-m", "venv", folder], ["bash", "-c", install]):
        code, _, errors = run(folder.parent, *command)
        assert code == 0, errors
    return folder


@pytest.fixture(scope="module")
def wheel(environment: Path) -> Path:
    built = environment.with_name("built")
    options = ("-q", "--no-deps", "--no-build-isolation", "--wheel-dir", built)
    code, _, errors = run(environment.parent, environment / "bin" / "python", "-m", "pip", "wheel", *options, ROOT)
    assert code == 0, errors
    (path,) = built.glob("*.whl")
    return path


@dataclass(frozen=True)
class Installed:
    """The program in an environment of its own, with a kitchen and an empty folder to work in."""

    binary: Path
    home: Path
    work: Path

    def __call__(self, *words: str | Path, text: str = "") -> tuple[int, list[dict[str, Any]], str]:
        """Return exit code, the objects printed, and what was complained of."""
        code, printed, errors = run(self.work, self.binary, *words, text=text, KITCHENVOICE_HOME=str(self.home))
        assert "Traceback" not in errors
        return code, [json.loads(line) for line in printed.splitlines() if line.startswith("{")], errors


@pytest.fixture(scope="module")
def program(environment: Path, wheel: Path) -> Installed:
    folder, python = environment.parent, environment / "bin" / "python"
    for command in (["install", "-q", "--no-deps", "--no-index", wheel], ["check"]):
        code, printed, errors = run(folder, python, "-m", "pip", *command)
        assert code == 0, printed + errors
    for name in ("kitchen", "work"):
        (folder / name).mkdir()
    (folder / "kitchen" / "profile.toml").write_text(profile_text(900, date.today()))
    return Installed(python.with_name("kitchenvoice"), folder / "kitchen", folder / "work")


@pytest.fixture(scope="module")
def hearing(program: Installed) -> Installed:
    """The program with the speech model where `kitchenvoice fetch-model` looks for it."""
    model = verified_model()
    shutil.copytree(model, program.home / "models" / model.name)
    code, _, said = program("fetch-model")
    assert (code, said) == (
        0, f"The speech model is there already, complete and unaltered: {program.home / 'models' / model.name}\n",
    )  # fmt: skip
    return program


def test_the_wheel_has_the_program_its_data_and_its_licence_and_nothing_else(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as bundle:
        names = bundle.namelist()
        about = f"kitchenvoice-{VERSION}.dist-info"
        metadata = message_from_string(bundle.read(f"{about}/METADATA").decode())
    assert (metadata["Version"], metadata["License-Expression"]) == (VERSION, "Apache-2.0")
    assert f"{about}/licenses/kitchenvoice/LICENSE" in names
    files = [path for folder in ("kitchenvoice", "grammars") for path in (ROOT / folder).rglob("*") if path.is_file()]
    tree = {path.relative_to(ROOT).as_posix() for path in files if path.parent.name != "__pycache__"}
    wanted = {re.sub("^grammars/", "kitchenvoice/_grammars/", name) for name in tree}
    wanted.add("kitchenvoice/_models/manifest.json")
    assert {name for name in names if not name.startswith(about)} == wanted


def test_it_tells_its_version(program: Installed) -> None:
    code, printed, _ = run(program.work, program.binary, "--version")
    assert (code, printed.split()[-1]) == (0, VERSION)


def test_without_a_model_it_says_how_to_have_one(program: Installed) -> None:
    if (program.home / "models").exists():
        shutil.rmtree(program.home / "models")
    code, printed, said = program("hear", "any.wav")
    assert (code, printed) == (3, [])
    assert said.strip().endswith("Run kitchenvoice fetch-model.")


def test_what_needs_no_model_works(program: Installed) -> None:
    asked = "--food green\tbeans --pack raw --jar quart --method pressure --gauge dial --altitude-ft 900"
    code, (answer,), _ = program("lookup", "--json", *(word.replace("\t", " ") for word in asked.split(" ")))
    assert (code, answer["minutes"], answer["psi"]) == (0, 25, 11)
    code, (plan,), _ = program(
        "plan", "--food", "carrots", "--have", "28 lb", "--jar", "quart", "--capacity", "7", "--json"
    )
    assert (code, plan["status"]) == (0, "ok")
    code, (told,), _ = program("explain", "--psi", "11", "--altitude-ft", "5000", "--json")
    assert (code, told["status"]) == (0, "ok")
    assert program("card", "--out", "card.pdf")[0] == 0
    assert (program.work / "card.pdf").read_bytes().startswith(b"%PDF")
    scenario = ROOT / "tests" / "scenarios" / "quarts_of_peppers.txt"
    assert program("rehearse", shutil.copy(scenario, program.work))[0] == 0
    assert program("demo", "--text")[0] == 0
    assert (program.work / "out" / "demo").is_dir()


def test_a_typed_session_leads_and_records_a_load(program: Installed) -> None:
    typed = "start seven quarts of green beans raw pack\nyes\nwhat pressure\n"
    code, lines, _ = program("start", "--typed", text=typed)
    said = [line["text"] for line in lines if line.get("who") == "kitchenvoice"]
    assert code == 0
    assert any("Twenty five minutes at eleven pounds pressure" in text for text in said)
    assert any("Load one, green beans, is started" in text for text in said)
    code, loads, _ = program("logbook", "list", "--json")
    assert (code, [load["food"] for load in loads]) == (0, ["snap_beans"])


def test_it_hears(hearing: Installed) -> None:
    spoken = hearing.work / "said.wav"
    subprocess.run(["espeak-ng", "-v", "en-us", "-s", "160", "-w", spoken, "kitchen voice steam is steady"], check=True)
    code, (heard,), _ = hearing("hear", "--state", "vent", spoken)
    assert (code, heard["intent"], heard["text"]) == (0, "steam_steady", "kitchen voice steam is steady")


def test_its_self_test_finds_all_that_is_not_sound_in_order(hearing: Installed) -> None:
    _, checks, _ = hearing("check")
    failed = {each["check"]: each["text"] for each in checks if not each["pass"]}
    assert set(failed) <= {"microphone", "speaker"}
    assert len(checks) == 13


@pytest.mark.skipif(shutil.which("mvn") is None, reason="needs mvn")
def test_it_fetches_its_model_over_the_network(program: Installed, tmp_path: Path) -> None:
    fetching = Installed(program.binary, tmp_path, program.work)
    code, _, said = fetching("fetch-model")
    if code and "can't be had from here" in said:
        pytest.skip("no server of the model can be reached")
    assert (code, said.splitlines()[-1]) == (0, f"The speech model is in {tmp_path / 'models' / verified_model().name}")
    _, checks, _ = fetching("check")
    assert {"speech model", "words"} <= {each["check"] for each in checks if each["pass"]}


@pytest.mark.audio
@pytest.mark.skipif(shutil.which("pulseaudio") is None, reason="needs a virtual sound card")
def test_with_a_sound_card_it_hears_and_answers(hearing: Installed, tmp_path: Path) -> None:
    kitchen = Kitchen(tmp_path, command=(hearing.binary,))
    try:
        (kitchen.home / "models").symlink_to(hearing.home / "models")
        kitchen.know_the_program()
        program = kitchen.start()
        kitchen.speaker.wait_quiet(0.0)
        said_t = kitchen.say(voice("flite slt").say("kitchen voice what pressure"))
        assert program.wait_line(who="heard", event="ask_pressure")["text"] == "kitchen voice what pressure"
        kitchen.speaker.wait_loud(said_t, 10.0)
    finally:
        kitchen.close()
