"""The commands of the record, as a person and as a pipe see them."""

from __future__ import annotations

import csv
import json
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from kitchenvoice.cli_logbook import logbook_commands
from kitchenvoice.errors import BadInput, KitchenVoiceError, LogbookBusy, LogbookDamaged, LogbookError
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.logbook.export import harmless
from kitchenvoice.logbook.files import NAME

from .days import DAY, Day, moment

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


def test_list_prints_one_object_a_load_into_a_pipe(run: Run, season: Day) -> None:
    loads = objects(run("list"))
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
        (("--since", "2026-07-03"), [2, 3]),
        (("--food", "moon cheese"), []),
    ],
)
def test_list_can_be_narrowed(run: Run, season: Day, arguments: tuple[str, ...], found: list[int]) -> None:
    assert [load["load"] for load in objects(run("list", *arguments))] == found


def test_show_tells_every_entry_also_those_taken_back(run: Run, season: Day) -> None:
    first, *entries = objects(run("show", "3"))
    assert (first["record"], first["load"], first["broken"]) == ("load", 3, 0)
    assert [entry["seq"] for entry in entries] == [event.seq for event in season.events if event.load == 3]
    broke = next(entry for entry in entries if entry["kind"] == "jar_broke")
    assert (broke["scratched"], broke["heard"]) == (True, "a jar broke")
    assert sum(entry["scratched"] for entry in entries) == 1


def test_show_of_no_such_load_is_one_sentence(run: Run, season: Day) -> None:
    with pytest.raises(BadInput, match="There is no load 99"):
        run("show", "99")


def test_shelf_names_what_to_use_first_and_its_source(run: Run, season: Day) -> None:
    kept = objects(run("shelf"))
    assert [(x["food"], x["jar"], x["left"]) for x in kept] == [("carrots", "pint", 6), ("snap_beans", "quart", 7)]
    assert kept[0]["best_until"][:4] == "2027"
    assert kept[0]["best_until"][4:10] == kept[0]["packed"][4:10]
    assert kept[0]["source"] == ["clemson_faq", "ndsu_wojapi"]
    assert [x["food"] for x in objects(run("shelf", "--food", "green beans"))] == ["snap_beans"]
    assert objects(run("shelf", "--jar", "half-pint")) == []


@pytest.mark.parametrize("what", ["loads", "entries", "shelf"])
def test_both_export_formats_hold_the_same(run: Run, season: Day, what: str) -> None:
    given = objects(run("export", "--what", what))
    lines = list(csv.DictReader(run("export", "--what", what, "--format", "csv").stdout.splitlines()))
    assert len(given) == len(lines) == {"loads": 3, "entries": season.seq, "shelf": 2}[what]
    key = "seq" if what == "entries" else "load"
    assert [str(each[key]) for each in given] == [line[key] for line in lines]


def test_an_export_to_a_file_is_private_and_whole(run: Run, season: Day, tmp_path: Path) -> None:
    run("export", "--format", "csv", "--out", str(tmp_path / "loads.csv"))
    content = (tmp_path / "loads.csv").read_bytes().decode()
    assert content.splitlines() == run("export", "--format", "csv").stdout.splitlines()
    assert content.count("\r\n") == 4
    assert stat.S_IMODE((tmp_path / "loads.csv").stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.iterdir() if "part" in path.name] == []
    with pytest.raises(LogbookError, match="exists and belongs to you"):
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


def test_labels_are_a_pdf_with_one_label_a_jar(run: Run, season: Day, tmp_path: Path) -> None:
    result = run("labels", "--out", str(tmp_path / "labels.pdf"))
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF-")
    assert "13 labels" in result.stderr
    assert "7 labels" in run("labels", "--load", "2", "--sheet", "letter-67x25").stderr
    assert "70 by 37 mm" in run("labels", "--sheet", "list").stdout


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--sheet", "a5"), "There is no sheet a5"),
        (("--skip", "24"), "Skip fewer"),
        (("--load", "3"), "no sealed jar"),
    ],
)
def test_labels_that_cannot_be_made_are_refused(
    run: Run, season: Day, arguments: tuple[str, ...], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        run("labels", *arguments)


def test_the_report_is_one_page_that_runs_nothing(run: Run, season: Day, tmp_path: Path) -> None:
    run("report")
    page = (tmp_path / "season-2026.html").read_text()
    assert page.count("<svg") == 4
    assert "3 loads, 15 jars sealed of 16 counted" in page
    assert "<script" not in page
    assert "http" not in page.replace('http-equiv="', "").replace('xmlns="http://www.w3.org/2000/svg"', "")
    run("report", "--year", "1999", "--out", str(tmp_path / "old.html"))
    assert "No load was started in this year." in (tmp_path / "old.html").read_text()


def test_backup_verify_restore_and_rebuild_tell_what_they_did(run: Run, season: Day, home: Path) -> None:
    made = Path(objects(run("backup"))[0]["backup"])
    assert made.parent == home / "backups"
    assert objects(run("verify")) == [{"ok": True, "faults": []}]
    assert objects(run("rebuild")) == [{"loads": 3}]
    (home / NAME).write_bytes(b"not a database, by a mishap. " * 200)
    with pytest.raises(LogbookDamaged):
        run("list")
    done = objects(run("restore"))[0]
    assert (done["entries"], done["saved"], done["backup"]) == (season.seq, 0, str(made))
    assert Path(done["set_aside"]).read_bytes().startswith(b"not a database")
    assert len(objects(run("list"))) == 3


def test_verify_finds_a_row_that_is_not_the_fold_of_the_entries(run: Run, season: Day, home: Path) -> None:
    with SqliteLog(home) as log:
        log._connection.execute("UPDATE loads SET sealed = 99 WHERE load = 1")
    result = run("verify")
    assert result.exit_code == 3
    assert "table loads differs" in objects(result)[0]["faults"][0]
    run("rebuild")
    assert run("verify").exit_code == 0


def test_without_a_logbook_the_commands_say_so(run: Run) -> None:
    for command in (
        ("list",),
        ("shelf",),
        ("show", "1"),
        ("export",),
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
        assert len(objects(run("list"))) == 3
        assert objects(run("verify"))[0]["ok"]
        with pytest.raises(LogbookBusy):
            run("rebuild")
