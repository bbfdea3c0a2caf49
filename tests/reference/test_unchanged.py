"""A table that was damaged, edited or lost gives one sentence, and never a number."""

import hashlib
import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from kitchenvoice.cli import check
from kitchenvoice.cli.lookup import lookup_command
from kitchenvoice.cli.plan import plan_command
from kitchenvoice.cli.start import start_command
from kitchenvoice.errors import TablesDamaged
from kitchenvoice.reference import asked, food_talk, knowledge, library, lookup, names, plan, reply, rules
from kitchenvoice.reference import rule as one_rule
from kitchenvoice.reference.library import DATA, RECORD, require_unchanged
from kitchenvoice.reference.validation import record_tables, validate_tables

ROOT = Path(__file__).parents[2]
BEANS = {"pack": "raw", "jar": "quart", "method": "pressure", "gauge": "dial", "altitude_ft": 500}
BEANS_TYPED = ["--pack", "raw", "--jar", "quart", "--method", "pressure", "--gauge", "dial", "--altitude-ft", "500"]
EVERY = sorted(path.relative_to(DATA).as_posix() for kind in ("*.json", "*.toml") for path in DATA.rglob(kind))
ONE_ANSWER = {"id": "x", "phrases": ["x"], "candidates": ["carrots"], "ask": "Which x"}
CACHES = [
    library._recorded,
    library.raw,
    library.table,
    library.product_ids,
    library.product,
    library.sources,
    names._refused,
    names._phrases,
    names.foods,
    names._meant_by,
    food_talk._particulars,
    one_rule,
    rules,
    knowledge._topics,
    knowledge.families,
    knowledge.phrases,
    knowledge.patterns,
    knowledge._around,
    knowledge._having,
    knowledge.asked,
]


@pytest.fixture
def tables(tmp_path, monkeypatch):
    """Read from a copy of the tables that a test may spoil; nothing read before is remembered, nor afterwards."""
    copy = tmp_path / "data"
    shutil.copytree(DATA, copy)
    monkeypatch.setattr(library, "DATA", copy)
    for cached in CACHES:
        cached.cache_clear()
    yield copy
    for cached in CACHES:
        cached.cache_clear()


def test_the_record_is_of_the_tables_as_they_are_and_leaves_none_out():
    recorded = dict(reversed(line.split("  ")) for line in (DATA / RECORD).read_text().splitlines())
    assert sorted(recorded) == EVERY
    for name, checksum in recorded.items():
        assert hashlib.sha256((DATA / name).read_bytes()).hexdigest() == checksum, f"{name}: run scripts/record_tables"


def test_what_is_recorded_is_what_pydantic_passed(tmp_path):
    shutil.copytree(DATA, tmp_path / "data")
    (tmp_path / "data" / RECORD).unlink()
    assert record_tables(tmp_path / "data") == len(EVERY)
    assert (tmp_path / "data" / RECORD).read_bytes() == (DATA / RECORD).read_bytes()


def test_a_changed_figure_is_refused_and_never_said(tables):
    assert lookup("green beans", **BEANS).psi == 11
    file = tables / "products" / "snap_beans.json"
    changed = json.loads(file.read_bytes())
    changed["processes"][0]["bands"][0]["psi"] = 10
    file.write_text(json.dumps(changed))
    library.product.cache_clear()
    answer = lookup("green beans", **BEANS)
    assert (answer.status, answer.minutes, answer.psi) == ("refused", None, None)
    assert "products/snap_beans.json" in answer.reason
    assert "Install kitchenvoice again." in answer.reason
    assert lookup("carrots", **BEANS).status == "ok"


def test_one_flipped_bit_anywhere_in_a_table_is_noticed(tables):
    file = tables / "products" / "snap_beans.json"
    whole = file.read_bytes()
    for place in range(0, len(whole), 20):
        spoilt = bytearray(whole)
        spoilt[place] ^= 1
        file.write_bytes(spoilt)
        answer = lookup("green beans", **BEANS)
        assert (answer.status, answer.minutes, answer.psi) == ("refused", None, None), place
        assert "snap_beans.json" in answer.reason
    file.write_bytes(whole)
    assert lookup("green beans", **BEANS).status == "ok"


def cut_short(file):
    file.write_bytes(file.read_bytes()[:100])


def emptied(file):
    file.write_bytes(b"")


def gone(file):
    file.unlink()


def a_folder_instead(file):
    file.unlink()
    file.mkdir()


@pytest.mark.parametrize("spoil", [cut_short, emptied, gone, a_folder_instead], ids=lambda spoil: spoil.__name__)
@pytest.mark.parametrize("name", ["products/snap_beans.json", "names.json", "refused.json", RECORD])
def test_whatever_happened_to_a_file_a_look_up_and_a_plan_name_it_and_give_no_number(tables, spoil, name):
    spoil(tables / name)
    answer, made = lookup("green beans", **BEANS), plan("green beans", "28 lb", "quart", 7)
    unlisted = name == RECORD and spoil in (cut_short, emptied)
    for given in (answer, made):
        assert given.status == "refused"
        assert ("names.json" if unlisted else name) in given.reason
    assert answer.minutes is answer.psi is None
    assert made.jars is None


def test_the_self_test_and_the_start_of_a_session_notice_any_file(tables):
    for name in EVERY:
        whole = (tables / name).read_bytes()
        (tables / name).write_bytes(whole + b" ")
        with pytest.raises(TablesDamaged, match=name):
            require_unchanged()
        with pytest.raises(TablesDamaged, match=name):
            check.CHECKS["tables"]()
        (tables / name).write_bytes(whole)
    assert require_unchanged() == len(EVERY)


def test_a_file_that_nobody_checked_is_noticed(tables):
    (tables / "products" / "gravel.json").write_text("{}")
    with pytest.raises(TablesDamaged, match=r"gravel\.json"):
        require_unchanged()


def test_the_self_test_passes_the_tables_as_they_are():
    assert str(len(EVERY)) in check.CHECKS["tables"]()


def test_the_commands_print_one_sentence_and_no_number(tables):
    gone(tables / "products" / "snap_beans.json")
    result = CliRunner().invoke(lookup_command, ["--food", "green beans", *BEANS_TYPED, "--json"])
    assert result.exit_code == 4
    assert json.loads(result.output)["minutes"] is None
    result = CliRunner().invoke(plan_command, ["--food", "green beans", "--have", "9 lb", "--jar", "quart", "--json"])
    assert result.exit_code == 4
    assert "snap_beans.json" in json.loads(result.output)["reason"]


def test_a_session_does_not_start_on_damaged_tables(tables, tmp_path, monkeypatch):
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path / "home"))
    cut_short(tables / "products" / "snap_beans.json")
    result = CliRunner().invoke(start_command, ["--typed"], input="help\n")
    assert isinstance(result.exception, TablesDamaged)
    assert "snap_beans.json" in str(result.exception)
    assert result.exception.exit_code == 3


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("products/carrots.json", b"{", "products/carrots.json is not a valid table"),
        ("products/carrots.json", b"{}", "products/carrots.json is not a valid table: id"),
        ("rules.json", b'{"a": {"text": "x", "evidence": "seen", "source": []}}', "rules.json is not a valid table: a"),
        ("refused.json", b"7", "refused.json is not a valid table"),
        ("answers/words.toml", b"topic = ", "answers/words.toml is not a valid table"),
        ("answers/words.toml", b"\xff", "answers/words.toml is not a valid table"),
        ("answers/words.toml", b"topic = 'words'", "answers/words.toml is not a valid table: family"),
        ("answers/phrases.toml", b"can_i = 1", "answers/phrases.toml is not a valid table: can_i"),
        ("notes.json", b"[]", "notes.json is not a valid table"),
        (
            "refused.json",
            b'[{"id": "x", "spoken": "x", "phrases": [], "kind": "food",'
            b' "reason": "", "instead": ["y"], "source": ["z"]}]',
            "a refusal says why",
        ),
        (
            "names.json",
            json.dumps({**json.loads((DATA / "names.json").read_text("utf-8")), "groups": [ONE_ANSWER]}).encode(),
            "a question needs two answers",
        ),
    ],
)
def test_a_mistake_in_a_table_is_told_and_not_recorded(tables, name, content, said):
    (tables / name).write_bytes(content)
    before = (tables / RECORD).read_bytes()
    for work in (validate_tables, record_tables):
        with pytest.raises(TablesDamaged, match=said):
            work(tables)
    assert (tables / RECORD).read_bytes() == before


def test_an_answer_that_was_changed_is_never_said(tables):
    file = tables / "answers" / "opening.toml"
    file.write_text(file.read_text().replace("stays closed until", "may be opened before"))
    with pytest.raises(TablesDamaged, match=r"answers/opening\.toml"):
        reply("open_it")
    with pytest.raises(TablesDamaged, match=r"answers/opening\.toml"):
        asked("can i open it")


def test_answers_in_a_file_of_another_name_are_told(tables):
    shutil.copy(tables / "answers" / "words.toml", tables / "answers" / "phrasebook.toml")
    with pytest.raises(TablesDamaged, match="holds the topic words"):
        validate_tables(tables)


def test_a_food_in_a_file_of_another_name_is_told(tables):
    shutil.copy(tables / "products" / "carrots.json", tables / "products" / "beets.json")
    with pytest.raises(TablesDamaged, match="holds the food carrots"):
        validate_tables(tables)


def test_a_look_up_runs_without_pydantic_and_reads_only_the_food_it_needs():
    code = (
        "import sys; from pathlib import Path; from kitchenvoice.reference import library, lookup;"
        "read = []; old = Path.read_bytes; Path.read_bytes = lambda p: (read.append(p.name), old(p))[1];"
        "lookup('green beans', pack='raw', jar='quart', method='pressure', gauge='dial', altitude_ft=0);"
        "print('pydantic' in sys.modules, 'pydantic_core' in sys.modules, *sorted(read))"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT).stdout
    assert said.split() == ["False", "False", "names.json", "refused.json", "snap_beans.json"]
