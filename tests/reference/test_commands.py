"""The commands lookup, plan and explain: one JSON object, and the exit code."""

import json
import statistics
import subprocess
import sys
import timeit

import pytest
from click.testing import CliRunner

from kitchenvoice.cli import reference as cli_reference
from kitchenvoice.cli.reference import explain_command, lookup_command, plan_command
from kitchenvoice.reference import foods, lookup

FULL = ["--food", "green beans", "--pack", "raw", "--jar", "quart", "--method", "pressure", "--gauge", "dial"]
HEAVY = {"numpy", "vosk", "lark", "yaml", "scipy", "iapws", "ambiance", "sounddevice", "pyttsx3"}


def run(command, *args):
    return CliRunner().invoke(command, list(args))


def test_an_answer_is_one_json_object_and_exit_0():
    result = run(lookup_command, *FULL, "--altitude-ft", "5200")
    assert result.exit_code == 0
    assert result.output.count("\n") == 1
    said = json.loads(result.output)
    assert (said["status"], said["minutes"], said["psi"], said["headspace_in"]) == ("ok", 25, 13, 1)
    assert said["salt_tsp_per_jar"] == 1
    assert said["source"]
    assert len(said["source_text"]) == len(said["source"])
    for field in ("acid", "cautions", "options", "reason", "missing"):
        assert field in said


def test_a_refusal_exits_4():
    result = run(lookup_command, *FULL, "--altitude-ft", "9000")
    assert result.exit_code == 4
    assert json.loads(result.output)["status"] == "refused"


def test_a_missing_input_exits_5():
    result = run(lookup_command, *FULL)
    assert result.exit_code == 5
    assert json.loads(result.output)["missing"] == ["altitude_ft"]
    assert run(lookup_command).exit_code == 5


@pytest.mark.parametrize(
    "args", [["--altitude-ft", "high"], ["--nonsense"], ["--altitude-ft", "1", "--altitude-m", "1"]]
)
def test_bad_usage_exits_2(args):
    result = run(lookup_command, *FULL, *args)
    assert result.exit_code == 2
    assert result.stdout == ""


def test_meters_are_rounded_up_into_the_next_band():
    said = json.loads(run(lookup_command, *FULL, "--altitude-m", "609.7").output)
    assert (said["altitude_ft"], said["psi"]) == (2001, 12)
    assert run(lookup_command, *FULL, "--altitude-m", "nan").exit_code == 2


@pytest.mark.parametrize(
    ("typed", "feet"), [("2,000", 2_000), ("2,000.5", 2_001), ("2000", 2_000), (" 1500 ", 1_500), ("1e3", 1_000)]
)
def test_an_altitude_may_be_written_as_people_write_it(typed, feet):
    said = json.loads(run(lookup_command, *FULL, "--altitude-ft", typed).output)
    assert (said["status"], said["altitude_ft"]) == ("ok", feet)


@pytest.mark.parametrize("typed", ["high", "1,5", "1,50", ",500", "2 000", "5280ft", ""])
def test_an_altitude_that_could_mean_two_things_is_not_taken(typed):
    result = run(lookup_command, *FULL, "--altitude-ft", typed)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "isn't a number" in result.stderr


def test_bones_and_options_can_be_said():
    rest = ["--pack", "raw", "--jar", "pint", "--method", "pressure", "--gauge", "dial", "--altitude-ft", "0"]
    assert json.loads(run(lookup_command, "--food", "chicken", "--bones", "with", *rest).output)["minutes"] == 65
    hot = ["--pack", "hot", *rest[2:]]
    chosen = json.loads(run(lookup_command, "--food", "tomato sauce", "--option", "20 min", *hot).output)
    assert (chosen["minutes"], chosen["psi"]) == (20, 6)


def test_the_list_has_every_food():
    lines = run(lookup_command, "--list").output.splitlines()
    assert [json.loads(line)["id"] for line in lines] == [food.id for food in foods()]


def test_a_plan_is_one_json_object():
    result = run(plan_command, "--food", "green beans", "--have", "28 lb", "--jar", "quart", "--capacity", "7")
    assert result.exit_code == 0
    said = json.loads(result.output)
    assert said["jars"] == {"low": 11, "high": 18, "typical": 14}
    assert said["source_text"]


def test_a_plan_exits_4_and_5():
    assert run(plan_command, "--food", "peppers", "--have", "9 lb", "--jar", "quart", "--capacity", "7").exit_code == 4
    assert run(plan_command, "--food", "carrots", "--have", "9 lb", "--jar", "quart").exit_code == 5


@pytest.mark.parametrize("have", ["much", "-1 lb", "28"])
def test_an_amount_that_is_not_understood_exits_2_with_one_sentence(have):
    result = run(plan_command, "--food", "carrots", f"--have={have}", "--jar", "quart", "--capacity", "7")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.count("\n") == 1


def test_explain_prints_the_temperature():
    result = run(explain_command, "--psi", "11", "--altitude-ft", "5000")
    assert result.exit_code == 0
    assert json.loads(result.output)["canner_f"] == 236.0
    assert run(explain_command, "--psi", "11").exit_code == 2
    assert run(explain_command, "--psi", "99", "--altitude-ft", "0").exit_code == 4


class Terminal:
    """Stand in for a terminal."""

    @staticmethod
    def isatty():
        return True


def on_a_terminal(monkeypatch, command, *args):
    """Run a command as if its output were a terminal."""

    class Sys:
        stdout = Terminal()

    monkeypatch.setattr(cli_reference, "sys", Sys)
    return run(command, *args)


def test_a_person_gets_lines_instead_of_json(monkeypatch):
    result = on_a_terminal(monkeypatch, lookup_command, *FULL, "--altitude-ft", "5200")
    assert result.output.startswith("status       ok\n")
    assert "13 pounds on a dial gauge" in result.output
    forced = on_a_terminal(monkeypatch, lookup_command, *FULL, "--altitude-ft", "5200", "--json")
    assert json.loads(forced.output)["psi"] == 13
    asked = on_a_terminal(monkeypatch, lookup_command, *FULL)
    assert "ask altitude_ft" in asked.output
    listed = on_a_terminal(monkeypatch, lookup_command, "--list")
    assert "green beans: pressure" in listed.output
    assert "fish in quarts: pressure" in listed.output


def test_a_person_gets_a_plan_in_lines(monkeypatch):
    given = ["--food", "tomato sauce", "--have", "46 lb", "--jar", "quart", "--capacity", "7", "--pack", "hot"]
    given += ["--method", "boiling-water", "--altitude-ft", "0"]
    result = on_a_terminal(monkeypatch, plan_command, *given)
    assert "6 to 10 quarts" in result.output
    assert "lemon juice" in result.output
    assert "out after" in result.output


def test_a_look_up_loads_nothing_heavy():
    code = (
        "import sys; from click.testing import CliRunner; from kitchenvoice.cli.reference import lookup_command;"
        "CliRunner().invoke(lookup_command, ['--food', 'carrots']); print(' '.join(sys.modules))"
    )
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert not HEAVY & set(loaded)


def test_importing_the_commands_does_not_load_the_tables():
    code = (
        "import sys, kitchenvoice.cli.reference;"
        "print('kitchenvoice.reference' in sys.modules, 'pydantic' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.split() == ["False", "False"]


def test_a_look_up_takes_less_than_five_milliseconds():
    given = {"pack": "raw", "jar": "quart", "method": "pressure", "gauge": "dial", "altitude_ft": 5_200}
    runs = timeit.repeat(lambda: lookup("green beans", **given), number=1, repeat=200)
    assert statistics.median(runs) < 0.005
