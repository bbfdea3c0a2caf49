"""What the pages say agrees with the code: commands, options, scripts, files, sentences, dependencies, sources."""

from __future__ import annotations

import inspect
import json
import re
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

import click
from click.testing import CliRunner

from kitchenvoice.cli.group import _COMMANDS, _group
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.grammar import QUESTIONS, STAGES, GrammarBook
from kitchenvoice.ports import Utterance
from kitchenvoice.rehearsal.scenario import _KITCHEN

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
SAFETY = (ROOT / "kitchenvoice" / "reference" / "SAFETY.md").read_text("utf-8")
THREATS = (ROOT / "kitchenvoice" / "THREATS.md").read_text("utf-8")
SCENARIOS = (ROOT / "tests" / "scenarios" / "README.md").read_text("utf-8")
GRAMMARS = (ROOT / "grammars" / "README.md").read_text("utf-8")
PAGES = {
    "README": README,
    "DEVELOPERS": DEVELOPERS,
    "SAFETY": SAFETY,
    "THREATS": THREATS,
    "grammars": GRAMMARS,
    "scenarios": SCENARIOS,
}
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))


def commands() -> dict[str, click.Command]:
    """Every command by its words, those of groups too."""
    found: dict[str, click.Command] = {}
    for name in _COMMANDS:
        command = _group.get_command(click.Context(_group), name)
        assert command is not None, name
        found[name] = command
        if isinstance(command, click.Group):
            found |= {f"{name} {inner}": each for inner, each in command.commands.items()}
    return found


COMMANDS = commands()


def calls(page: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield each call of ours in a page: its words, and the options after them."""
    for line in re.findall(r"kitchenvoice ([a-z]+[^`\n#]*)", page):
        words = line.split()
        names = [f"{words[0]} {each}" for each in re.split(r"\\?\|", words[1])] if words[1:] else []
        known = [name for name in names if name in COMMANDS] or [words[0]]
        if words[0] in COMMANDS or line.startswith(tuple(COMMANDS)):
            for name in known:
                yield name, tuple(re.findall(r"--[a-z-]+", line))


def test_the_pages_are_short() -> None:
    assert len(README.split()) < 900
    assert len(DEVELOPERS.splitlines()) < 150


def test_the_picture_of_the_board_is_there_and_is_one() -> None:
    (picture,) = re.findall(r"!\[[^]]+\]\(([^)]+)\)", README)
    assert (ROOT / picture).read_bytes().startswith(b"\x89PNG")


def test_the_page_of_scripted_days_has_every_sign_and_setting() -> None:
    for sign in ("#", "@", ">", "<", "<-", "!", "!-", *(f"% {name}" for name in _KITCHEN)):
        assert f"| `{sign} " in SCENARIOS, sign


def test_the_example_of_a_scripted_day_goes_as_it_says(tmp_path: Path) -> None:
    (example,) = re.findall(r"```text\n(.*?)```", SCENARIOS, re.DOTALL)
    script = tmp_path / "example.txt"
    script.write_text(example, "utf-8")
    ended = CliRunner().invoke(COMMANDS["rehearse"], [str(script)], standalone_mode=False)
    assert ended.exception is None
    assert ended.return_value in (None, 0)


def test_every_command_and_option_that_a_page_names_is_there(every: Callable[..., None]) -> None:
    def check(page: str) -> None:
        for name, options in calls(PAGES[page]):
            known = {opt for param in COMMANDS[name].params for opt in (*param.opts, *param.secondary_opts)}
            assert set(options) <= known | {"--help"}, (name, options)

    every(check, PAGES)


def test_the_readme_names_the_commands_that_give_json_in_a_pipe() -> None:
    told = re.search(r"a pipe for (.+?), gives", README, re.DOTALL)
    assert told is not None
    code = {
        name: inspect.getsource(inspect.unwrap(command.callback))
        for name, command in COMMANDS.items()
        if command.callback
    }
    piped = {name for name, source in code.items() if "True if as_json else None" in source}
    assert set(re.findall(r"`(\w+)`", told[1])) == piped


def test_every_command_is_in_the_readme() -> None:
    named = {"demo"} & set(re.findall(r"scripts/(\w+)", README)) | set(
        re.findall(r"`(?:kitchenvoice )?([a-z-]+)", README)
    )
    assert set(_COMMANDS) <= named


def test_every_script_and_file_that_a_page_names_is_there(every: Callable[..., None]) -> None:
    def check(page: str) -> None:
        for script in re.findall(r"(?<![\w/])scripts/(\w+)", PAGES[page]):
            assert (ROOT / "scripts" / script).exists(), script
        for name in re.findall(r"`((?:kitchenvoice|tests|grammars|models|scripts)/[\w./-]+)`", PAGES[page]):
            assert (ROOT / name).exists(), name
        package = ROOT / "kitchenvoice"
        folders = {
            "SAFETY": package / "reference",
            "grammars": ROOT / "grammars",
            "LICENCES": package,
            "scenarios": ROOT / "tests" / "scenarios",
        }
        folder = folders.get(page, ROOT)
        for link in re.findall(r"\]\(([^)#]+)\)", PAGES[page]):
            assert "://" in link or (folder / link).exists(), link

    every(check, PAGES)


def test_every_sentence_of_the_readme_is_understood(book: GrammarBook) -> None:
    said = re.findall(r"cook:\s+(.+)", README)
    said += re.findall(r'"([Kk]itchen voice, [^"]+)"', README)
    assert len(said) >= 6
    anything = [book.grammar(STAGES, attention="optional", question=question) for question in QUESTIONS]
    for text in said:
        plain = text.lower().replace(",", "")
        assert any(understand(Utterance((plain,)), grammar).intent for grammar in anything), text


def package(requirement: str) -> str:
    return re.split(r"[<>=!~ ;\[]", requirement, maxsplit=1)[0].lower()


def test_every_dependency_has_its_reason_and_no_reason_is_left_over() -> None:
    table = DEVELOPERS.split("| package | why |", 1)[1].split("\n\n", 1)[0]
    rows = [row.split("|")[1] for row in table.splitlines() if row.count("|") >= 3 and "---" not in row]
    named = {part.strip().split()[0].lower() for row in rows for part in row.split(",")}
    assert named == {package(each) for each in PROJECT["project"]["dependencies"]}


def test_every_tool_for_development_is_named() -> None:
    text = DEVELOPERS.lower()
    for each in PROJECT["project"]["optional-dependencies"]["dev"]:
        if not package(each).startswith("types-"):
            assert package(each) in text, each


def test_every_threat_names_a_test_that_is_there() -> None:
    rows = [row for row in THREATS.splitlines() if row.startswith("| ") and "---" not in row and "| test |" not in row]
    assert len(rows) > 30
    for row in rows:
        named = re.search(r"`(tests/[\w/]+\.py)::(\w+)` \|$", row)
        assert named is not None, row
        assert f"\ndef {named[2]}(" in (ROOT / named[1]).read_text("utf-8"), row


def test_the_map_of_rooms_has_every_room() -> None:
    rooms = {path.name for path in (ROOT / "kitchenvoice").iterdir() if (path / "__init__.py").exists()}
    assert rooms == set(re.findall(r"^\| \d \| `kitchenvoice/(\w+)/`", DEVELOPERS, re.MULTILINE))


def test_the_map_of_rooms_is_the_contract_of_layers() -> None:
    contract = PROJECT["tool"]["importlinter"]["contracts"][0]
    layers = [set(re.findall(r"\w+", layer)) for layer in contract["layers"] if layer != "__main__"]
    base = {path.stem for path in (ROOT / "kitchenvoice").glob("[a-z]*.py")}
    rooms: dict[str, set[str]] = {}
    for number, room in re.findall(r"^\| (\d) \| `kitchenvoice/(\w+)/`", DEVELOPERS, re.MULTILINE):
        rooms.setdefault(number, set()).add(room)
    assert list(rooms.values()) == layers[: len(rooms)]
    assert set().union(*layers[len(rooms) :]) == base == set(re.findall(r"`(\w+)\.py`: ", DEVELOPERS))


def test_every_source_of_the_tables_is_on_the_page_of_sources() -> None:
    sources = json.loads((ROOT / "kitchenvoice" / "reference" / "data" / "sources.json").read_text("utf-8"))
    for source in sources.values():
        parts = (source["title"], source["publisher"], source["year"], source["how_read"])
        row = "| " + " | ".join(part.replace("|", "/") for part in parts) + " |"
        assert row in SAFETY, f"put this row into kitchenvoice/reference/SAFETY.md: {row}"


def test_the_caution_is_where_a_newcomer_looks() -> None:
    for page in (README, SAFETY):
        for word in ("botulism", "burns", "Extension", "When in doubt, throw it out"):
            assert word.lower() in page.lower().replace("\n> ", " ").replace("\n", " "), word
