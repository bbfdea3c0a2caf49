"""The commands of the record, for a person and as JSON."""

from __future__ import annotations

import csv
import json
import os
import re
import stat
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from kitchenvoice.cli.logbook import logbook_commands
from kitchenvoice.errors import BadInput, KitchenVoiceError, LogbookBusy, LogbookDamaged, LogbookError
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.logbook.report.export import harmless
from kitchenvoice.logbook.tables.files import NAME
from kitchenvoice.process import fold
from kitchenvoice.process.faults import FAULT_KINDS

from .days import DAY, SEASON, Day, moment

Run = Callable[..., Result]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    return tmp_path / "home"


@pytest.fixture
def run(home: Path) -> Run:
    def one(*arguments: str) -> Result:
        result = CliRunner().invoke(logbook_commands, arguments)
        if isinstance(result.exception, KitchenVoiceError):
            raise result.exception
        assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
        return result

    return one


def objects(result: Result) -> list[dict[str, Any]]:
    return [json.loads(line) for line in result.stdout.splitlines()]


@pytest.fixture
def season(home: Path) -> Day:
    day = Day()
    day.whole(1, "carrots", failed=1, restarts=2, lids="box 3")
    day.t += DAY
    day.whole(2, "snap_beans", jars=7, jar="quart")
    day.until_rest(3, "beets", food_name='=HYPERLINK("x")')
    taken_back = day.add("jar_broke", 3, count=1, heard="a jar broke")
    day.add("scratched", 3, seq=taken_back.seq)
    day.add("opened", food="carrots", count=2)
    with SqliteLog(home) as log:
        log.append(day.events, moment(day.t))
    return day


@pytest.fixture
def east(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The clock of a kitchen nine hours ahead."""
    with monkeypatch.context() as patched:
        patched.setenv("TZ", "Asia/Tokyo")
        time.tzset()
        yield
    time.tzset()


@pytest.mark.usefixtures("east")
def test_list_and_shelf_tell_the_crocks_last_by_the_kitchen_s_clock(run: Run, season: Day) -> None:
    season.add("crock_start", food="sauerkraut", days_ago=4)
    season.add("crock_start", food="sauerkraut", crock=2, days_ago=1)
    with SqliteLog(Path(os.environ["KITCHENVOICE_HOME"])) as log:
        log.append(season.events[-2:], moment(season.t))
    for command in ("list", "shelf"):
        first, second = objects(run(command, "--json"))[-2:]
        assert (first["record"], first["food"], first["number"], first["unsure"]) == ("crock", "sauerkraut", 1, False)
        assert first["days"] == second["days"] + 3 >= 4
        begun = datetime.fromisoformat(first["started"])
        assert begun.timestamp() == season.events[-2].t - 4 * 86_400
        assert begun.utcoffset() == timedelta(hours=9)
        assert [
            line for line in run(command).stdout.splitlines() if line.startswith(f"crock 1  {begun:%b} {begun.day}, ")
        ]
        assert "fermenting" not in run(command, "--food", "carrots").stdout
    assert "fermenting" not in run("shelf", "--jar", "pint").stdout


@pytest.mark.parametrize(
    ("units", "written"),
    [("us", r"\w+, July \d+, 2026, \d{1,2}:\d\d [ap]m"), ("metric", r"\w+ \d+ July 2026, \d\d:\d\d")],
)
def test_show_writes_times_as_the_kitchen_does(run: Run, season: Day, home: Path, units: str, written: str) -> None:
    (home / "profile.toml").write_text(f'units = "{units}"\n')
    shown = run("show", "1").stdout
    for line in (rf"  started +{written}", rf" +{written.rpartition(', ')[2]}  heat off"):
        assert re.search(rf"^{line}$", shown, re.MULTILINE), shown


def test_a_name_that_tells_no_form_is_not_written(run: Run, season: Day) -> None:
    with pytest.raises(BadInput, match=r"x\.doc doesn't tell which form"):
        run("export", "--out", "x.doc")
    assert run("export", "--out", "x.doc", "--format", "csv").exit_code == 0


def test_show_tells_what_was_done_to_the_crocks(run: Run, season: Day) -> None:
    for wrong in (("show", "--crocks"), ("show",), ("show", "1", "--crocks")):
        with pytest.raises(BadInput, match="crock"):
            run(*wrong)
    season.add("crock_start", food="sauerkraut", days_ago=4)
    season.add("crock_care", food="sauerkraut", care="skimmed", heard="i skimmed the crock")
    season.add("crock_care", food="sauerkraut", care="topped_up")
    season.add("scratched", seq=season.seq)
    with SqliteLog(Path(os.environ["KITCHENVOICE_HOME"])) as log:
        log.append(season.events[-4:], moment(season.t))
    shown = run("show", "--crocks").stdout
    assert 'crock 1 of sauerkraut skimmed  "i skimmed the crock"' in shown
    assert "crock 1 of sauerkraut topped up  (taken back)" in shown
    assert [x["kind"] for x in objects(run("show", "--crocks", "--json"))] == [
        "crock_start",
        "crock_care",
        "crock_care",
    ]
    (listed,) = (x for x in objects(run("shelf", "--json")) if x.get("record") == "crock")
    assert listed["care"] == "skimmed"
    assert datetime.fromisoformat(listed["cared"]).timestamp() == season.events[-3].t


def test_list_prints_one_object_a_load_if_asked(run: Run, season: Day) -> None:
    loads = objects(run("list", "--json"))
    assert [(x["load"], x["food"], x["jars"], x["sealed"], x["failed"], x["restarts"]) for x in loads] == [
        (1, "carrots", 9, 8, 1, 2),
        (2, "snap_beans", 7, 7, 0, 0),
        (3, "beets", 9, None, None, 0),
    ]
    assert (loads[0]["on_shelf"], loads[0]["outcomes"], loads[0]["lids"]) == (6, {"refrigerate": 1}, "box 3")
    assert (loads[0]["stage"], loads[2]["stage"], loads[2]["closed"]) == ("closed", "rest", None)
    assert loads[0]["opened"].endswith("Z")


@pytest.mark.parametrize(
    ("arguments", "found"),
    [
        (("--food", "green beans"), [2]),
        (("--food", "snap_beans"), [2]),
        (("--food", "beets"), [3]),
        (("--newest", "2"), [2, 3]),
        (("--newest", "2", "--open"), [3]),
        (("--newest", "1", "--all"), [1, 2, 3]),
        (("--since", "2026-07-03"), [2, 3]),
        (("--food", "moon cheese"), []),
    ],
)
def test_list_can_be_narrowed(run: Run, season: Day, arguments: tuple[str, ...], found: list[int]) -> None:
    result = run("list", *arguments, "--json")
    assert [load["load"] for load in objects(result)] == found
    assert ("logbook list --all" in result.stderr) is (arguments == ("--newest", "2"))


def test_show_tells_every_entry_also_those_taken_back(run: Run, season: Day) -> None:
    first, *entries = objects(run("show", "3", "--json"))
    assert (first["record"], first["load"], first["broken"]) == ("load", 3, 0)
    assert [entry["seq"] for entry in entries] == [event.seq for event in season.events if event.load == 3]
    broke = next(entry for entry in entries if entry["kind"] == "jar_broke")
    assert (broke["scratched"], broke["heard"]) == (True, "a jar broke")
    assert sum(entry["scratched"] for entry in entries) == 1


def test_show_tells_a_note_once(run: Run, season: Day, home: Path) -> None:
    with SqliteLog(home) as log:
        season.add("note", 1, heard="Note: too much salt", text="too much salt")
        log.append(season.events[-1:], moment(season.t))
    assert run("show", "1").stdout.lower().count("too much salt") == 1


def test_show_of_no_such_load_is_one_sentence(run: Run, season: Day) -> None:
    with pytest.raises(BadInput, match="There is no load 99"):
        run("show", "99")


def test_shelf_names_what_to_use_first_and_its_source(run: Run, season: Day) -> None:
    kept = objects(run("shelf", "--json"))
    assert [(x["food"], x["jar"], x["left"]) for x in kept] == [("carrots", "pint", 6), ("snap_beans", "quart", 7)]
    assert kept[0]["best_until"][:4] == "2027"
    assert kept[0]["best_until"][4:10] == kept[0]["packed"][4:10]
    assert kept[0]["source"] == ["aib539_2015 (Guide 1:12)", "clemson_faq", "ndsu_wojapi"]
    assert [x["food"] for x in objects(run("shelf", "--food", "green beans", "--json"))] == ["snap_beans"]
    assert objects(run("shelf", "--jar", "half-pint", "--json")) == []
    first = run("shelf", "--first", "1", "--json")
    assert ([x["food"] for x in objects(first)], "shelf --all" in first.stderr) == (["carrots"], True)
    assert len(objects(run("shelf", "--first", "1", "--all", "--json"))) == 2


@pytest.mark.parametrize("what", ["loads", "entries", "shelf"])
def test_both_export_formats_hold_the_same(run: Run, season: Day, what: str) -> None:
    given = objects(run("export", "--what", what))
    lines = list(csv.DictReader(run("export", "--what", what, "--format", "csv").stdout.splitlines()))
    assert len(given) == len(lines) == {"loads": 3, "entries": season.seq, "shelf": 2}[what]
    key = "seq" if what == "entries" else "load"
    assert [str(each[key]) for each in given] == [line[key] for line in lines]


def test_an_export_to_a_file_is_private_and_whole(run: Run, season: Day, tmp_path: Path) -> None:
    run("export", "--out", str(tmp_path / "loads.csv"))  # the ending says what it is
    content = (tmp_path / "loads.csv").read_bytes().decode()
    assert content.splitlines() == run("export", "--format", "csv").stdout.splitlines()
    assert content.count("\r\n") == 4
    assert stat.S_IMODE((tmp_path / "loads.csv").stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.iterdir() if "part" in path.name] == []
    with pytest.raises(LogbookError, match="No such file or directory"):
        run("export", "--out", str(tmp_path / "nowhere" / "loads.json"))


def test_no_cell_of_a_csv_can_be_taken_for_a_formula(run: Run, season: Day) -> None:
    for line in csv.reader(run("export", "--format", "csv").stdout.splitlines()):
        for cell in line:
            assert cell[:1] not in set("=+-@\t\r"), cell
    assert "'=HYPERLINK" in run("export", "--format", "csv").stdout


@pytest.mark.parametrize(
    ("cell", "written"),
    [
        ("=1+1", "'=1+1"),
        ("+1", "'+1"),
        ("-1", "'-1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "'\t=1"),
        ("  =1", "'  =1"),
        ("\r=1", "'=1"),
        ("|calc", "'|calc"),
        ("\uff1d1", "'\uff1d1"),
        ("carrots", "carrots"),
        ("a-b=c", "a-b=c"),
        ("", ""),
        ("  ", "  "),
        ("bell\x07", "bell"),
        (-1.5, -1.5),
        (None, None),
    ],
)
def test_what_could_be_a_formula_is_written_as_text(cell: Any, written: Any) -> None:
    assert harmless(cell) == written


def test_labels_are_a_pdf_with_one_label_a_jar(run: Run, season: Day, tmp_path: Path, home: Path) -> None:
    result = run("labels", "--out", str(tmp_path / "labels.pdf"))
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF-")
    assert "13 labels" in result.stderr
    assert b"/MediaBox [ 0 0 612 792 ]" in (tmp_path / "labels.pdf").read_bytes()
    (home / "profile.toml").write_text('units = "metric"\n')
    run("labels", "--out", str(tmp_path / "metric.pdf"))
    assert b"/MediaBox [ 0 0 595.27" in (tmp_path / "metric.pdf").read_bytes()
    assert "7 labels" in run("labels", "--load", "2", "--sheet", "letter-67x25").stderr
    assert "7 labels" in run("labels", "2", "--sheet", "letter-67x25").stderr
    assert "6 labels" in run("labels", "carrots").stderr
    assert "70 by 37 mm" in run("labels", "--sheet", "list").stdout


def test_a_food_may_be_named_without_an_option(run: Run, season: Day) -> None:
    assert run("list", "carrots").stdout == run("list", "--food", "carrots").stdout != run("list").stdout
    assert run("shelf", "carrots", "--json").stdout == run("shelf", "--food", "carrots", "--json").stdout
    assert run("shelf", "beets").stdout == "There is no sealed jar of that on the list.\n"
    assert run("list", "carots").stdout == "No load fits that. Did you mean carrots?\n"


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--sheet", "a5"), "There is no sheet a5"),
        (("--sheet", "a4-70x37", "--skip", "24"), "Skip fewer"),
        (("--load", "3"), "no sealed jar"),
        (("2", "99"), "There is no load 99"),
        (("carots",), "Did you mean carrots"),
        (("corn",), "Which corn"),
    ],
)
def test_labels_that_cannot_be_made_are_refused(
    run: Run, season: Day, arguments: tuple[str, ...], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        run("labels", *arguments)


def test_the_report_is_one_page_that_runs_nothing(run: Run, season: Day, tmp_path: Path) -> None:
    result = run("report")
    reports = tmp_path / "home" / "reports"
    assert sorted(path.name for path in reports.iterdir()) == ["season-2026.html", "season-2026.pdf"]
    assert str(reports / "season-2026.pdf") in result.stderr
    assert [stat.S_IMODE(path.stat().st_mode) for path in (reports, *reports.iterdir())] == [0o700, 0o600, 0o600]
    page = (reports / "season-2026.html").read_text()
    assert page.count("<svg") == 2  # of one month there are no bars
    assert "3 loads, 15 of 16 jars counted sealed. 1 jar that failed into the refrigerator." in page
    assert "<script" not in page
    assert "http" not in page.replace('http-equiv="', "").replace('xmlns="http://www.w3.org/2000/svg"', "")
    with pytest.raises(BadInput, match="No load was started in 1999, so nothing is written"):
        run("report", "--year", "1999", "--out", str(tmp_path / "old.html"))
    assert not (tmp_path / "old.html").exists()
    run("report", "--paper", "letter", "--out", str(tmp_path / "one.pdf"))
    assert (tmp_path / "one.pdf").read_bytes().startswith(b"%PDF-")
    with pytest.raises(BadInput, match=r"End it with \.html or \.pdf"):
        run("report", "--out", str(tmp_path / "season"))


def test_backup_verify_restore_and_rebuild_tell_what_they_did(run: Run, season: Day, home: Path) -> None:
    made = Path(objects(run("backup", "--json"))[0]["backup"])
    assert made.parent == home / "backups"
    assert objects(run("verify", "--json")) == [{"ok": True, "derived": True, "faults": []}]
    assert objects(run("rebuild", "--json")) == [{"loads": 3}]
    (home / NAME).write_bytes(b"not a database, by a mishap. " * 200)
    with pytest.raises(LogbookDamaged):
        run("list")
    done = objects(run("restore", "--json"))[0]
    assert (done["entries"], done["saved"], done["backup"]) == (season.seq, 0, str(made))
    assert Path(done["set_aside"]).read_bytes().startswith(b"not a database")
    assert len(objects(run("list", "--json"))) == 3


def test_verify_finds_a_row_that_is_not_the_fold_of_the_entries(run: Run, season: Day, home: Path) -> None:
    with SqliteLog(home) as log:
        log._connection.execute("UPDATE loads SET sealed = 99 WHERE load = 1")
    result = run("verify", "--json")
    assert result.exit_code == 3
    assert "table loads differs" in objects(result)[0]["faults"][0]
    run("rebuild")
    assert run("verify").exit_code == 0


def test_before_the_first_load_there_is_nothing_to_list_and_nothing_wrong(run: Run, home: Path) -> None:
    for command in (("list", "--json"), ("shelf", "--json"), ("list", "--food", "beets", "--json"), ("export",)):
        result = run(*command)
        assert (result.exit_code, result.stdout, result.stderr) == (0, "", "")
    assert list(csv.DictReader(run("export", "--format", "csv").stdout.splitlines())) == []
    assert not home.exists() or list(home.iterdir()) == []


def test_before_the_first_load_a_person_is_told_so(run: Run) -> None:
    assert run("list").stdout == "Nothing is recorded yet: the first load begins the logbook.\n"
    assert run("shelf").stdout == "Nothing is recorded yet: the first load begins the logbook.\n"


def test_a_logbook_that_is_gone_is_not_taken_for_an_empty_one(run: Run, season: Day, home: Path) -> None:
    run("backup")
    (home / NAME).unlink()
    for command in ("list", "shelf", "export"):
        with pytest.raises(LogbookDamaged, match="gone"):
            run(command)


def test_show_is_in_a_cooks_words(run: Run, season: Day) -> None:
    text = run("show", "1").stdout
    assert text.startswith("Load 1: 9 pint jars of carrots, raw pack\n")
    assert "pressure, 25 minutes at 11 pounds on a dial gauge, 800 feet" in text
    assert "started over twice" in text
    assert "lids         box 3" in text
    assert "8 sealed, 1 failed" in text
    assert not re.search(r"[_{}()]|\bNone\b|\d{10}|\d\d:\d\d:\d\d|aib539|: \w+ \d+, \w+ \d", text)
    assert re.search(r" {2,}\d+:\d\d [ap]m  9 jars packed\n", text)
    assert "(taken back)" in run("show", "3").stdout
    days = [line for line in text.splitlines() if re.fullmatch(r"\w+day, \w+ \d+, 2026", line)]
    assert len(days) == len(set(days)) > 0


def test_every_kind_of_fault_is_shown_in_words_of_its_own(run: Run, home: Path) -> None:
    day = Day()
    day.start(1)
    for kind in sorted(FAULT_KINDS):
        day.add("fault", 1, fault=kind)
    with SqliteLog(home) as log:
        log.append(day.events, moment(day.t))
    told = re.findall(r"^ +\d+:\d\d [ap]m  (.+)\n", run("show", "1").stdout, re.MULTILINE)[1:]
    assert len(set(told)) == len(FAULT_KINDS)
    assert "the canner check failed" in told
    assert "something was not as tested" not in told


def test_that_a_load_was_meant_is_shown_only_where_nothing_else_was_said(run: Run, home: Path) -> None:
    day = Day()
    day.start(1)
    told = (("lid_locked", "lid is on"), ("load_select", "lid is on"), ("load_select", "load one"))
    for kind, heard in (*told, ("load_select", "heat is on"), ("heat_on", "heat is on")):
        day.add(kind, 1, heard)
    with SqliteLog(home) as log:
        log.append(day.events, moment(day.t))
    assert re.findall(r"you named this.*", run("show", "1").stdout) == ['you named this load  "load one"']


def test_what_is_heard_cannot_steer_the_terminal(run: Run, home: Path) -> None:
    day = Day()
    day.start(1, food_name="\x1b]0;title\x07beets\u202e")
    day.add("note", 1, heard="\x1b[2J\r\n", text="{count} {0.__class__}\x9b31m")
    day.add("packed", 1, count="{x}\x1b")
    with SqliteLog(home) as log:
        log.append(day.events, moment(day.t))
    for command in (("list",), ("show", "1"), ("shelf",)):
        assert all(letter.isprintable() or letter == "\n" for letter in run(*command).stdout)


# ---------------------------------------------------------------- entering


def test_lids_and_amounts_can_be_noted_also_of_a_closed_load(run: Run, season: Day, home: Path) -> None:
    assert objects(run("note", "2", "lids from the old tin", "--lids", "4", "--used", "14 lb", "--json")) == [
        {"load": 2, "noted": ["lid_box", "used", "note"]}
    ]
    run("note", "3", "--used", "half a bushel")
    loads = objects(run("list", "--json"))
    assert [(load["lids"], load["used"]) for load in loads] == [("box 3", ""), ("4", "14 pound"), ("", "0.5 bushel")]
    assert objects(run("verify", "--json"))[0]["ok"]
    assert objects(run("rebuild", "--json")) == [{"loads": 3}]
    assert objects(run("list", "--json")) == loads
    run("report")
    page = (home / "reports" / "season-2026.html").read_text()
    assert "Yield against the published tables" in page
    assert "box 4" in page


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("1",), "nothing to note"),
        (("1", " "), "nothing to note"),
        (("99", "text"), "There is no load 99"),
        (("1", "--used", "a lot"), "like"),
        (("1", "--used", "7 quarts"), "jars are counted already"),
    ],
)
def test_a_note_that_says_nothing_is_refused(run: Run, season: Day, arguments: tuple[str, ...], sentence: str) -> None:
    with pytest.raises(BadInput, match=sentence):
        run("note", *arguments)
    assert objects(run("list", "--open", "--json"))[0]["load"] == 3


def test_a_forgotten_load_is_marked_and_can_be_closed_and_nothing_of_it_is_lost(
    run: Run, season: Day, home: Path
) -> None:
    before = objects(run("show", "3", "--json"))
    assert re.search(r"open for \d+ days, kitchenvoice logbook close 3\)", run("list", "--open").stdout)
    words = run("close", "3").stdout
    assert "never counted" in words
    assert objects(run("list", "--open", "--json")) == []
    after = objects(run("show", "3", "--json"))
    assert after[1 : len(before)] == before[1:]
    assert [entry["kind"] for entry in after[len(before) :]] == ["load_given_up"]
    assert objects(run("verify", "--json"))[0]["ok"]
    with pytest.raises(BadInput, match="closed already"):
        run("close", "3")


def test_an_entry_by_command_is_no_sign_that_the_stove_was_watched(run: Run, season: Day, home: Path) -> None:
    """A note made after a power cut must not make the gap look short: the hold would go on unasked."""
    with SqliteLog(home) as log:
        watched, kitchen = log.last_moment, fold(log.read())
    run("note", "3", "still warm")
    with SqliteLog(home) as log:
        assert log.last_moment == watched
        assert fold(log.read()).t == kitchen.t
        assert log.last_seq == season.seq + 1


def test_a_note_while_a_session_writes_is_refused_with_a_sentence(run: Run, season: Day, home: Path) -> None:
    with SqliteLog(home):
        for command in (("note", "1", "x"), ("close", "3")):
            with pytest.raises(LogbookBusy, match=r"Close that one first\."):
                run(*command)


def test_without_a_logbook_the_commands_say_so(run: Run) -> None:
    for command in (
        ("show", "1"),
        ("labels",),
        ("report",),
        ("verify",),
        ("backup",),
    ):
        with pytest.raises(LogbookError, match="There is no logbook yet"):
            run(*command)
    with pytest.raises(LogbookError, match="no backup to go back to"):
        run("restore")


def test_the_record_can_be_read_while_a_session_writes_but_not_rebuilt(run: Run, season: Day, home: Path) -> None:
    with SqliteLog(home):
        assert len(objects(run("list", "--json"))) == 3
        assert objects(run("verify", "--json"))[0]["ok"]
        with pytest.raises(LogbookBusy):
            run("rebuild")


@pytest.mark.parametrize(
    ("t", "name"), [(1e18, "carrots"), (253_402_200_000.0, "carrots"), (-1e18, "carrots"), (SEASON, "x" * 200_000)]
)
def test_no_made_up_time_or_name_in_the_record_ends_what_prints_it(run: Run, home: Path, t: float, name: str) -> None:
    day = Day(0, t)
    day.whole(1, "carrots", food_name=name)
    with SqliteLog(home) as log:
        log.append(day.hand_over(), moment(day.t))
    for command in (("list",), ("show", "1"), ("shelf",), ("labels", "--out", str(home.parent / "a.pdf")), ("report",)):
        with suppress(KitchenVoiceError):
            assert run(*command).exit_code == 0
