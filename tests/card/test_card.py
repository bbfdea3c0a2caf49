"""The kitchen card: one legible page from the grammars; each sentence on it means its command in its stage."""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from kitchenvoice.app.languages import book_for, in_language
from kitchenvoice.card.card_pdf import LEAST_SIZE, PAPERS, card_pdf, size_for
from kitchenvoice.card.contents import STAGE_BLOCKS, CardSection, Phrase, blocks, register
from kitchenvoice.cli.card import card_command
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.errors import BadInput
from kitchenvoice.grammar import STAGES, GrammarBook, written
from kitchenvoice.kitchen.profile import Profile
from kitchenvoice.language import load_language
from kitchenvoice.ports import Utterance

BLOCKS = blocks()
PHRASES = [(block, phrase) for block in BLOCKS for phrase in block.phrases]


def test_each_sentence_means_its_command_in_its_stage(book: GrammarBook, every: Callable[..., None]) -> None:
    def check(block: CardSection, phrase: Phrase) -> None:
        heard = understand(Utterance((f"kitchen voice {phrase.say}",)), book.grammar([phrase.stage]))
        assert heard.intent == phrase.intent

    every(check, PHRASES)


def test_a_german_card_has_only_what_is_understood_in_german() -> None:
    book = book_for(in_language(Profile(), "de"))
    made = blocks(load_language("de"))
    assert [block.name for block in made] == [*STAGE_BLOCKS, "any"]
    said = [phrase.say for block in made for phrase in block.phrases]
    assert len(said) == len(set(said)) > 20
    grammar = book.grammar(STAGES, wake_phrase="hallo küche")
    assert not [each for each in said if not grammar.parse(f"hallo küche {each}")]
    assert card_pdf(made, "Sag:", "Im Zweifel wegwerfen.").startswith(b"%PDF-")


@pytest.mark.parametrize(("code", "called"), [("en", "kitchen voice"), ("de", "hallo küche")])
def test_what_the_help_says_can_be_said_can_be_said_as_it_stands(code: str, called: str) -> None:
    language = load_language(code)
    grammar = book_for(in_language(Profile(), code)).grammar(STAGES, wake_phrase=called)
    said = {each for key in language.table("help") for each in language.choices("help", key)}
    said |= set(language.table("help_first").values())
    assert not [each for each in said if not grammar.parse(f"{called} {each}")]


def test_each_thing_is_said_in_one_way_and_once() -> None:
    said = [phrase.say for _, phrase in PHRASES]
    assert len(said) == len(set(said))
    intents = [phrase.intent for _, phrase in PHRASES]
    assert {intent for intent in intents if intents.count(intent) > 1} == {"jar_outcome"}
    assert intents.count("jar_outcome") == len({"reprocess", "refrigerate", "freeze", "discard"})


def test_a_report_stands_in_a_stage_in_which_it_is_made() -> None:
    for block, phrase in PHRASES:
        when = register()["commands"][phrase.intent]["when"]
        if block.name in STAGE_BLOCKS:
            assert block.name in when


def test_every_sentence_is_one_of_the_register() -> None:
    for _, phrase in PHRASES:
        says = register()["commands"][phrase.intent]["say"]
        patterns = [re.sub(r"<\w+>", ".+", written(say)) for say in says]
        assert any(re.fullmatch(pattern, phrase.say, re.IGNORECASE) for pattern in patterns), phrase


def test_the_foods_are_those_of_one_day() -> None:
    said = " ".join(phrase.say for _, phrase in PHRASES)
    assert "carrots" in said
    assert "peaches" in said
    assert "beans" not in said


def test_every_command_is_on_the_card_once_at_least() -> None:
    said = {phrase.intent for _, phrase in PHRASES}
    answers = {name for name, entry in register()["commands"].items() if not isinstance(entry["when"], list)}
    assert set(register()["commands"]) - said <= {
        "number",
        "choice",
        "skip",
        "attention",
        "have",  # another way to ask for the plan
        "ask_day",  # its clock, asked in anybody's words
        "ask_clock",  # not told
        "packed_in_all",  # another way to count
        "nearly",  # another way to tell a reading below the target
        "ask_crock",  # told when a crock is begun
        "crock_care",
        "crock_end",
        "ask_family",  # anything is asked as it comes
        "both",
        "neither",
        "not_load",
    }
    assert said & answers
    assert {stage for _, phrase in PHRASES for stage in [phrase.stage]} <= set(STAGES)


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_one_page_in_a_size_that_can_be_read_at_arms_length(paper: str, tmp_path: Path) -> None:
    assert size_for(BLOCKS, paper) >= 14 > LEAST_SIZE
    content = card_pdf(BLOCKS, "Say “kitchen voice” first, then:\nHow", "Foot", paper)
    assert content.startswith(b"%PDF-")
    assert content.count(b"/Type /Page\n") == 1


def test_what_can_not_be_read_any_more_is_refused() -> None:
    with pytest.raises(BadInput, match="Print the text instead"):
        card_pdf(BLOCKS * 3, "", "")


def test_the_command_writes_the_page_or_prints_the_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))
    (tmp_path / "profile.toml").write_text('attention = "pantry please"\n')
    printed = CliRunner().invoke(card_command, ["--json"], standalone_mode=False)
    lines = [json.loads(line) for line in printed.output.splitlines()]
    assert [line["block"] for line in lines] == [block.name for block in BLOCKS]
    text = CliRunner().invoke(card_command, [], standalone_mode=False).output
    assert text.startswith("Say “pantry please” first, then:\n")
    assert "\nVenting\n  steam is steady\n" in text
    out = tmp_path / "card.pdf"
    CliRunner().invoke(card_command, ["--out", str(out)], standalone_mode=False)
    assert out.read_bytes().startswith(b"%PDF-")
    assert b"/MediaBox [ 0 0 792 612 ]" in out.read_bytes()
    (tmp_path / "profile.toml").write_text('units = "metric"\n')
    CliRunner().invoke(card_command, ["--out", str(out)], standalone_mode=False)
    assert b"/MediaBox [ 0 0 841.8" in out.read_bytes()


def test_the_printed_page_holds_every_sentence_and_the_caution(tmp_path: Path) -> None:
    if subprocess.run(["which", "pdftotext"], capture_output=True, check=False).returncode:
        pytest.skip("pdftotext isn't installed")
    (tmp_path / "card.pdf").write_bytes(card_pdf(BLOCKS, "Head\nHow", "When in doubt, throw it out"))
    done = subprocess.run(
        ["pdftotext", "-raw", str(tmp_path / "card.pdf"), "-"], capture_output=True, text=True, check=True
    )
    page = " ".join(done.stdout.split())
    for _, phrase in PHRASES:
        assert phrase.say in page
    assert "When in doubt, throw it out" in page
