"""The commands lookup, plan and explain: one JSON object, and the exit code."""

import json
import statistics
import subprocess
import sys
import timeit
from datetime import date, timedelta

import pytest
from click.testing import CliRunner

from kitchenvoice.cli.explain import explain_command
from kitchenvoice.cli.lookup import lookup_command
from kitchenvoice.cli.plan import plan_command
from kitchenvoice.cli.sheet import sheet_command
from kitchenvoice.reference import foods, lookup

FULL = ["--food", "green beans", "--pack", "raw", "--jar", "quart", "--method", "pressure", "--gauge", "dial"]
HEAVY = {"numpy", "vosk", "yaml", "scipy", "iapws", "ambiance", "sounddevice", "pyttsx3"}


@pytest.fixture(autouse=True)
def kitchen(tmp_path, monkeypatch):
    """The folder of a kitchen without a profile."""
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))
    return tmp_path


def run(command, *args):
    return CliRunner().invoke(command, list(args))


def told(command, *args):
    """Run a command with --json and read what it prints."""
    return json.loads(run(command, *args, "--json").stdout)


def test_an_answer_is_one_json_object_and_exit_0():
    result = run(lookup_command, *FULL, "--altitude-ft", "5200", "--json")
    assert result.exit_code == 0
    assert result.output.count("\n") == 1
    said = json.loads(result.output)
    assert (said["status"], said["minutes"], said["psi"], said["headspace_in"]) == ("ok", 25, 13, 1)
    assert said["salt_tsp_per_jar"] == 1
    assert said["source"]
    assert len(said["source_text"]) == len(said["source"])
    for field in ("acid", "cautions", "options", "reason", "missing"):
        assert field in said


@pytest.mark.parametrize(("name", "food"), [("Karotten", "carrots"), ("grüne Bohnen", "snap_beans")])
def test_a_german_kitchen_may_name_its_foods_in_german(kitchen, name, food):
    assert told(lookup_command, name, "quarts")["food"] is None
    (kitchen / "profile.toml").write_text('language = "de"\naltitude_ft = 5000\n')
    assert told(lookup_command, name, "quarts")["food"] == food
    assert told(plan_command, f"10 kg {name} quarts")["food"] == food
    assert told(sheet_command, name)["food"] == food


def test_a_refusal_exits_4():
    result = run(lookup_command, *FULL, "--altitude-ft", "9000", "--json")
    assert result.exit_code == 4
    assert json.loads(result.output)["status"] == "refused"


def test_a_missing_input_exits_5():
    result = run(lookup_command, *FULL, "--json")
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
    said = told(lookup_command, *FULL, "--altitude-m", "609.7")
    assert (said["altitude_ft"], said["psi"]) == (2001, 12)
    assert run(lookup_command, *FULL, "--altitude-m", "nan").exit_code == 2


@pytest.mark.parametrize(
    ("typed", "feet"), [("2,000", 2_000), ("2,000.5", 2_001), ("2000", 2_000), (" 1500 ", 1_500), ("1e3", 1_000)]
)
def test_an_altitude_may_be_written_as_people_write_it(typed, feet):
    said = told(lookup_command, *FULL, "--altitude-ft", typed)
    assert (said["status"], said["altitude_ft"]) == ("ok", feet)


@pytest.mark.parametrize("typed", ["high", "1,5", "1,50", ",500", "2 000", "5280ft", ""])
def test_an_altitude_that_could_mean_two_things_is_not_taken(typed):
    result = run(lookup_command, *FULL, "--altitude-ft", typed)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "isn't a number" in result.stderr


def test_bones_and_options_can_be_said():
    rest = ["--pack", "raw", "--jar", "pint", "--method", "pressure", "--gauge", "dial", "--altitude-ft", "0"]
    assert told(lookup_command, "--food", "chicken", "--bones", "with", *rest)["minutes"] == 65
    hot = ["--pack", "hot", *rest[2:]]
    chosen = told(lookup_command, "--food", "tomato sauce", "--option", "20 min", *hot)
    assert (chosen["minutes"], chosen["psi"]) == (20, 6)


def test_the_list_has_every_food():
    lines = run(lookup_command, "--list", "--json").output.splitlines()
    assert [json.loads(line)["id"] for line in lines] == [food.id for food in foods()]


def test_a_plan_is_one_json_object():
    result = run(
        plan_command, "--food", "green beans", "--have", "28 lb", "--jar", "quart", "--capacity", "7", "--json"
    )
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


@pytest.mark.parametrize(
    ("words", "pairs", "named"),
    [
        ("carrots pints raw dial 900 feet 11 psi", [(25, 11)], None),
        ("carrots pints raw dial 900 feet 12 pounds", [(25, 11)], "12 pounds isn't printed for this for a dial gauge."),
        ("crushed tomatoes quarts weighted 3000 feet 15 lbs pressure", [(15, 15)], None),
        ("crushed tomatoes quarts weighted 3000 feet", [(20, 10), (15, 15)], None),
        ("crushed tomatoes quarts weighted 3000 feet 5 psi", [(20, 10), (15, 15)], "5 pounds isn't printed"),
    ],
)
def test_a_pressure_that_is_named_is_looked_up_or_said_not_to_be_printed(words, pairs, named):
    said = told(lookup_command, *words.split())
    assert said["method"] == "pressure"
    assert [(each["minutes"], each["psi"]) for each in said["options"] or [said]] == pairs
    assert (named or "isn't printed") in said["cautions"][0] if named else "isn't printed" not in str(said["cautions"])
    text = run(lookup_command, *words.split()).stdout
    assert text.count(" minutes  ") == len(pairs)


def test_a_pressure_alone_still_asks_for_what_is_missing():
    said = told(lookup_command, *["carrots", "pints", "12", "psi"])
    assert (said["status"], said["method"], said["missing"]) == (
        "incomplete",
        "pressure",
        ["pack", "gauge", "altitude_ft"],
    )


def test_explain_prints_the_temperature():
    result = run(explain_command, "--psi", "11", "--altitude-ft", "5000", "--json")
    assert result.exit_code == 0
    assert json.loads(result.output)["canner_f"] == 236.0
    assert run(explain_command, "--psi", "11").exit_code == 2
    assert run(explain_command, "--psi", "99", "--altitude-ft", "0").exit_code == 4


@pytest.mark.parametrize("words", ["11 psi 5000 ft", "11 5,000 feet", "11 pounds at 5000 feet", "5000 ft 11 lb", "11"])
def test_explain_takes_words(kitchen, words):
    (kitchen / "profile.toml").write_text("altitude_ft = 5000\n")
    assert told(explain_command, *words.split())["canner_f"] == 236.0


PROFILE = """
altitude_ft = 900
usual_canner = 1
usual_jar = "quart"
[[canner]]
number = 1
gauge = "dial"
capacity = { quart = 7, pint = 9 }
[[canner]]
number = 2
gauge = "weighted"
capacity = { quart = 5, pint = 9 }
"""


def test_a_person_gets_a_table_without_ids_in_a_pipe_too():
    result = run(lookup_command, *FULL, "--altitude-ft", "5200")
    lines = result.output.splitlines()
    assert lines[0] == "Green beans, at 5,200 feet"
    assert lines[2].split() == ["Jar", "Pack", "Canner", "Time", "Pressure", "Headspace", "Page"]
    assert lines[3].split("  ")[0] == "quart"
    for told_ in ("25 minutes", "13 pounds", "1 inch", "Guide 4, page 9"):
        assert told_ in lines[3]
    assert "snap_beans" not in result.output
    assert "aib539" not in result.output


def test_what_is_not_said_is_taken_from_the_profile_and_said(kitchen):
    (kitchen / "profile.toml").write_text(PROFILE)
    said = told(lookup_command, "carrots", "hot")
    assert (said["status"], said["jar"], said["gauge"], said["altitude_ft"]) == ("ok", "quart", "dial", 900)
    assert {name: each["from"] for name, each in said["taken"].items()} == {
        "jar": "the profile",
        "method": "the only one printed",
        "gauge": "the profile",
        "altitude_ft": "the profile",
    }
    lines = run(lookup_command, "carrots", "hot").output
    assert "quart jars, dial gauge, 900 feet: the profile" in " ".join(lines.split())


def test_what_is_said_goes_before_the_profile(kitchen):
    (kitchen / "profile.toml").write_text(PROFILE)
    said = told(lookup_command, "carrots pints hot weighted 2,500 feet")
    assert (said["jar"], said["gauge"], said["altitude_ft"], said["psi"]) == ("pint", "weighted", 2500, 15)
    assert (said["method"], list(said["taken"])) == ("pressure", [])


def test_a_kitchen_of_two_kinds_of_gauges_is_asked_which(kitchen):
    (kitchen / "profile.toml").write_text(PROFILE.replace("usual_canner = 1\n", ""))
    assert told(lookup_command, "carrots", "hot")["missing"] == ["gauge"]


def test_a_profile_that_is_not_needed_is_not_read(kitchen):
    (kitchen / "profile.toml").write_text("altitude_ft = [")
    assert told(lookup_command, *FULL, "--altitude-ft", "900")["status"] == "ok"
    assert run(lookup_command, "carrots").exit_code != 0


@pytest.mark.parametrize(
    ("test", "told"),
    [
        ("", "canner 1: The dial has no test on record."),
        ("dial_tested = {}\ndial_error_psi = 1", "canner 1: The dial reads 1 pound high, so 11 pounds shows as 12"),
        ("dial_tested = {}\ndial_error_psi = 0", ""),
    ],
)
def test_what_the_pounds_are_on_the_cooks_own_dial(kitchen, test, told):
    dial = f'gauge = "dial"\n{test.format(date.today() - timedelta(days=40))}'
    (kitchen / "profile.toml").write_text(PROFILE.replace('gauge = "dial"', dial))
    for command, line in ((lookup_command, "carrots raw"), (plan_command, "28 lb carrots raw")):
        said = " ".join(run(command, line).output.split())
        assert (told in said) if told else ("Your dial" not in said)
    day = kitchen / "day.ics"
    assert run(plan_command, "28 lb carrots raw", "--start", "9", "--out", str(day)).exit_code == 0
    assert told in day.read_text().replace("\n ", "").replace("\\,", ",")


def test_a_pack_or_method_that_is_the_only_one_is_not_asked_for():
    said = told(lookup_command, "crushed tomatoes", "pints", "boiling water", "900 feet")
    assert (said["status"], said["pack"]) == ("ok", "hot")
    assert "pack" in told(lookup_command, "carrots", "pints", "dial", "900 feet")["missing"]


def test_each_pack_and_gauge_still_open_has_its_row():
    result = run(lookup_command, "carrots", "pints", "900", "feet")
    rows = [line for line in result.output.splitlines() if line.startswith("pint ")]
    assert ["11 pounds" in row for row in rows] == [True, False]
    assert all("raw or hot" in row for row in rows)
    assert "Which gauge: dial or weighted?" in result.output
    assert result.exit_code == 5


def test_what_holds_for_one_jar_only_names_it():
    lines = run(lookup_command, "carrots", "raw", "dial", "0", "feet").output
    assert "pint: 1/2 teaspoon of salt to a jar" in lines
    assert "quart: 1 teaspoon of salt to a jar" in lines


@pytest.mark.parametrize(
    ("words", "near"),
    [
        ("carrots pintz", "I don't know pintz. Did you mean pint?"),
        ("carrots dail", "I don't know dail. Did you mean dial?"),
        ("pints quarts carrots", "pints and quarts: say one jar."),
    ],
)
def test_a_misspelt_word_is_answered_with_the_nearest(words, near):
    result = run(lookup_command, *words.split())
    assert result.exit_code == 2
    assert near in result.stderr


def test_a_misspelt_food_is_answered_with_the_nearest():
    result = run(lookup_command, "carots", "pints")
    assert result.exit_code == 4
    assert "Did you mean carrots?" in result.output.replace("\n", " ")


def test_a_word_and_an_option_that_differ_are_not_chosen_between():
    result = run(lookup_command, "carrots", "pints", "--jar", "quart")
    assert result.exit_code == 2
    assert "say the jar once" in result.stderr


def test_canners_of_two_gauges_are_both_planned_unless_one_is_enough(kitchen):
    (kitchen / "profile.toml").write_text(PROFILE.replace("usual_canner = 1", ""))
    day = ("28 lb carrots raw", "--start", "9:00")
    for both in (day, (*day, "--canners", "2")):
        assert {line["canner"] for line in told(plan_command, *both)["clock"]} == {1, 2}
    assert "Add: dial or weighted." in run(plan_command, *day, "--canners", "1").stderr


def test_a_plan_in_a_kitchen_that_told_nothing_counts_the_guides_load_and_says_so(kitchen):
    made = run(plan_command, "28", "lb", "carrots", "raw", "quarts")
    assert made.exit_code == 0
    assert "that is 2 canner loads" in made.output
    assert "7 to a canner: the guide's load" in " ".join(made.output.split())


def test_a_plan_takes_words_and_the_profile(kitchen):
    (kitchen / "profile.toml").write_text(PROFILE)
    said = told(plan_command, "28 lb carrots")
    assert (said["jar"], said["capacity"], said["jars"]["typical"]) == ("quart", 7, 11)
    assert told(plan_command, "28 lb carrots", "--canners", "2")["capacity"] == 5
    day = ("28 lb carrots raw", "--start", "9:00")
    assert {line["canner"] for line in told(plan_command, *day)["clock"]} == {1}
    for said, canners in (("dial", "2"), ("weighted", "2")):  # one has other pounds than the other
        assert f"with a {said} gauge: 1" in run(plan_command, *day, "--gauge", said, "--canners", canners).stderr
    assert {line["canner"] for line in told(plan_command, *day, "--gauge", "weighted")["clock"]} == {2}
    made = run(plan_command, "28 lb carrots").output
    assert made.startswith("28 pounds of carrots will make 9 to 14 quarts")
    assert "raw pack: hot pack has the same numbers" in " ".join(made.split())
    bath = " ".join(run(plan_command, "20 lb peaches quarts boiling water").output.split())
    assert "Still open Which pack: raw or hot?" in bath
    assert "Process" not in bath, "the packs have other times"
    assert "Process    dial gauge, 30 minutes at 11 pounds" in run(plan_command, "28 lb carrots raw dial").output
    assert told(plan_command, "20 pints carrots raw dial")["loads"] == {"low": 3, "high": 3, "typical": 3}


@pytest.mark.parametrize(
    ("words", "more"),
    [("28 lb carrots", ("--canners", "2")), ("28 lb carrots raw in canner 2 and canner 1", ())],
)
def test_canners_with_other_gauges_share_one_day_each_by_its_own_pounds(kitchen, words, more):
    (kitchen / "profile.toml").write_text(
        PROFILE.replace('"dial"', f'"dial"\ndial_tested = {date.today() - timedelta(days=40)}\ndial_error_psi = 1')
    )
    lines = told(plan_command, words, "--start", "9:00", *more)["clock"]
    holds = {(line["canner"], line["text"].rpartition(": ")[2]) for line in lines if line["stage"] == "hold"}
    assert holds == {(1, "hold 30 minutes at 11 pounds, 12 on this dial"), (2, "hold 30 minutes at 10 pounds")}
    made = run(plan_command, words, *more).output
    assert "Process    dial gauge, 30 minutes at 11 pounds" in made
    assert "Process    weighted gauge, 30 minutes at 10 pounds" in made


def test_a_pressure_canner_tells_nothing_of_the_kettle(kitchen):
    (kitchen / "profile.toml").write_text(PROFILE.replace("pint = 9", "pint = 18"))
    assert told(plan_command, "20 lb carrots raw pints dial")["capacity"] == 18
    peaches = told(plan_command, "14 lb peaches hot pints boiling water")
    assert (peaches["capacity"], peaches["loads"]["high"]) == (9, 2)
    assert "9 to a canner: the guide's load" in run(plan_command, "14 lb peaches hot pints boiling water").output
    kettle = "[[canner]]\nnumber = 3\ncapacity = { pint = 8 }\n"
    (kitchen / "profile.toml").write_text(PROFILE + kettle)
    assert told(plan_command, "14 lb peaches hot pints boiling water")["capacity"] == 8


def test_a_canner_is_named_by_what_the_kitchen_calls_it(kitchen):
    (kitchen / "profile.toml").write_text(PROFILE.replace("number = 2", 'number = 2\nname = "the small one"'))
    for called in ("canner 2", "in canner two", "in the small one", "small canner"):
        assert (told(lookup_command, f"carrots quarts raw {called}")["psi"], called) == (10, called)
        assert told(plan_command, f"28 lb carrots {called}")["capacity"] == 5
    day = told(plan_command, "28 lb carrots in the small one", "--start", "9:00")["clock"]
    assert {line["canner"] for line in day} == {2}
    assert "the small one  pack" in run(plan_command, "28 lb carrots in the small one", "--start", "9:00").output
    for strange in ("canner 5", "the big canner"):
        result = run(lookup_command, f"carrots pints {strange}")
        assert "They are: canner 1, the small one." in result.stderr
        assert result.exit_code == 2
    assert "has a weighted gauge" in run(lookup_command, "carrots dial pints canner 2").stderr


@pytest.mark.parametrize("altitude", ["500 feet", "1,500 feet", "460 m", "2 feet"])
def test_an_altitude_behind_a_canner_is_no_number_of_a_canner(kitchen, altitude):
    (kitchen / "profile.toml").write_text("[[canner]]\nnumber = 1\ngauge = 'dial'\ncapacity = { quart = 7 }\n")
    line = f"peaches quarts raw boiling water canner {altitude}"
    found = told(lookup_command, line)
    assert found["status"] == "ok"
    assert found["method"] == "boiling-water"


def test_an_altitude_written_in_two_parts_is_never_taken_for_sea_level(kitchen):
    (kitchen / "profile.toml").write_text("[[canner]]\nnumber = 1\ngauge = 'dial'\ncapacity = { quart = 7 }\n")
    assert run(lookup_command, "peaches quarts raw boiling water canner 1 000 ft").exit_code == 2


def test_a_pressure_behind_a_canner_is_no_number_of_a_canner():
    assert told(lookup_command, "carrots pints raw dial pressure canner 11 pounds 900 feet")["psi"] == 11


def test_in_boiling_water_one_layer_is_counted(kitchen):
    """An inch of water has to stand over the lids."""
    layered = PROFILE.replace("pint = 9 }", "pint = 18 }\nlayers = { pint = 2 }")
    kettle = "[[canner]]\nnumber = 3\ncapacity = { pint = 18 }\nlayers = { pint = 2 }\n"
    (kitchen / "profile.toml").write_text(layered + kettle)
    assert told(plan_command, "20 lb peaches pints hot boiling water")["capacity"] == 9
    assert told(plan_command, "28 lb carrots pints")["capacity"] == 18
    assert "9 to a canner in one layer" in run(plan_command, "20 lb peaches pints hot boiling water").output


def test_a_misspelt_unit_is_answered_with_the_nearest():
    for words in (["28", "lbz", "carrots"], ["carrots", "--have", "28 bushls"]):
        result = run(plan_command, *words, "--jar", "quart", "--capacity", "7")
        assert result.exit_code == 2
        assert "Did you mean" in result.stderr


@pytest.mark.parametrize(
    ("command", "line", "fix"),
    [
        (lookup_command, "", "kitchenvoice lookup carrots pints"),
        (lookup_command, "carots pints", ". Did you mean carrots?"),
        (lookup_command, "dill pickels pints", ". Did you mean dill pickles?"),
        (lookup_command, "carrots pints", "say 900 feet"),
        (lookup_command, "carrots pints dial 900 feet", "Which pack: raw or hot, with the same numbers?"),
        (lookup_command, "how long do i process green beans", "Green beans Still open"),
        (
            lookup_command,
            "greens beans qt",
            "I have no published table for greens beans. Did you mean green beans",
        ),
        (lookup_command, "carrots 2 liter jars", "Metric jars are not the size of US pints and quarts"),
        (lookup_command, "carrots half gallon", "Carrots: half-gallon jars are only tested for apple juice"),
        (lookup_command, "carrots in gallon jars raw", "No tested process is published for gallon jars."),
        (lookup_command, "peaches light syrup", "I have no published table for peaches light syrup."),
        (
            lookup_command,
            "what about carrots with butter",
            "I have no published table for what about carrots with butter",
        ),
        (plan_command, "", "kitchenvoice plan 28 lb carrots quarts"),
        (plan_command, "--food carrots --have 28lb --jar quart", "--capacity 7"),
        (plan_command, "carrots", "Say it like: kitchenvoice plan 28 lb carrots quarts."),
    ],
)
def test_what_is_lacking_is_said_as_it_is_to_be_typed(kitchen, command, line, fix):
    assert fix in " ".join(run(command, *line.split()).output.split())


DAY = ["40 lb carrots quarts raw dial 900 feet", "--capacity", "7", "--canners", "2", "--date", "2026-08-15"]
CLOCK = [*DAY, "--start", "9:00", "--pack-minutes", "30-40", "--heat-minutes", "15-20"]


def test_a_plan_by_the_clock_is_the_day_of_one_cook():
    lines = told(plan_command, *CLOCK)["clock"]
    packs = [line for line in lines if line["stage"] == "pack"]
    assert [(line["earliest"], line["load"], line["canner"]) for line in packs] == [
        ("2026-08-15T09:00", 1, 1),
        ("2026-08-15T09:30", 2, 2),  # one cook packs one load at a time
        ("2026-08-15T10:58", 3, 1),
    ]
    assert "9:30 am   9:40 am   2     2       pack" in run(plan_command, *CLOCK).output


def test_the_clock_of_a_metric_kitchen_has_twenty_four_hours(kitchen):
    (kitchen / "profile.toml").write_text('units = "metric"\n')
    given = [*CLOCK[:-5], "13:15", *CLOCK[-4:]]
    assert "13:45" in run(plan_command, *given).output


@pytest.mark.parametrize(
    ("start", "first"),
    [("9", "09:00"), ("1:30 pm", "13:30"), ("12 am", "00:00"), ("noon", "12:00"), ("14:05", "14:05")],
)
def test_a_start_is_written_as_people_write_it(start, first):
    for words in ((*DAY, "--start", start), (f"{DAY[0]}, starting at {start}", *DAY[1:])):
        day = told(plan_command, *words, "--pack-minutes", "30", "--heat-minutes", "15")["clock"]
        assert day[0]["earliest"] == f"2026-08-15T{first}"


@pytest.mark.parametrize("start", ["25:00", "dawn", "9:75", ""])
def test_a_start_that_is_no_time_of_day_exits_2(start):
    result = run(plan_command, *DAY, "--start", start, "--pack-minutes", "30", "--heat-minutes", "15")
    assert (result.exit_code, result.stdout) == (2, "")


def test_a_clock_without_minutes_of_its_own_says_what_each_rests_on():
    result = run(plan_command, *DAY, "--start", "9:00")
    assert "9:30 am   9:45 am   1     1       jars in, heat on" in result.output
    said = " ".join(result.output.split())
    assert "Packing a load, 30 to 45 minutes, is common practice, with no source" in said
    assert "Guide 1, page 17; Guide 1, page 22" in said
    unclear = run(plan_command, "40 lb carrots quarts", "--capacity", "7", "--start", "9:00")
    assert unclear.exit_code == 2
    assert all(each in unclear.stderr for each in ("whole process", "raw or hot", "Add the altitude, such as 900 feet"))


def test_a_plan_is_written_as_page_and_calendar(tmp_path):
    for name, starts in (("day.pdf", b"%PDF-"), ("day.html", b"<!doctype"), ("day.ics", b"BEGIN:VCALENDAR\r\n")):
        assert run(plan_command, *CLOCK, "--out", str(tmp_path / name)).exit_code == 0
        assert (tmp_path / name).read_bytes().startswith(starts)
    told = (tmp_path / "day.ics").read_text().replace("\n ", "")
    assert told.count("BEGIN:VEVENT") == 2 * 3
    assert "SUMMARY:Load 1 in canner 1\\, carrots\\, quart jars" in told
    assert "DESCRIPTION:9:00 am: pack\\n9:30 am to 9:40 am: jars in\\, heat on" in told
    done = CliRunner().invoke(plan_command, [*CLOCK, "--out", str(tmp_path / "day.doc")])
    assert "End it with .pdf, .html or .ics" in str(done.exception)


def test_a_look_up_loads_nothing_heavy():
    code = (
        "import sys; from click.testing import CliRunner; from kitchenvoice.cli.lookup import lookup_command;"
        "CliRunner().invoke(lookup_command, ['--food', 'carrots']); print(' '.join(sys.modules))"
    )
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert not HEAVY & set(loaded)


def test_importing_the_commands_does_not_load_the_tables():
    code = (
        "import sys, kitchenvoice.cli.lookup, kitchenvoice.cli.plan;"
        "print('kitchenvoice.reference' in sys.modules, 'pydantic' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.split() == ["False", "False"]


def test_a_look_up_takes_less_than_five_milliseconds():
    given = {"pack": "raw", "jar": "quart", "method": "pressure", "gauge": "dial", "altitude_ft": 5_200}
    runs = timeit.repeat(lambda: lookup("green beans", **given), number=1, repeat=200)
    assert statistics.median(runs) < 0.005


def test_a_plan_writes_its_recipe_as_cooks_do_and_what_may_never_be_less():
    words = ["3", "batches", "salsa", "with", "slicing", "tomatoes", "pints", "900", "feet", "--capacity", "9"]
    printed = run(plan_command, *words).stdout
    for row in (
        "12 cups slicing tomatoes, chopped\n",
        "1-1/2 cups jalapeno peppers: never more\n",
        "6 cups vinegar, 5 percent: never less\n",
    ):
        assert f"Recipe   {row}" in printed
    assert "1     1       70 to 95 minutes" in printed
