"""The kitchen card: one legible page from the grammars; each sentence on it means its command in its stage."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from kitchenvoice.card.contents import STAGE_BLOCKS, CardSection, Phrase, blocks, register
from kitchenvoice.card.pdf import LEAST_SIZE, PAPERS, card_pdf, size_for
from kitchenvoice.cli.card import card_command
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.errors import BadInput
from kitchenvoice.grammar import STAGES, GrammarBook, grade
from kitchenvoice.ports import Utterance

BLOCKS = blocks()
PHRASES = [(block, phrase) for block in BLOCKS for phrase in block.phrases]


@pytest.fixture(scope="module")
def book() -> GrammarBook:
    return GrammarBook.load()


def test_each_sentence_means_its_command_in_its_stage(book: GrammarBook, every: Callable[..., None]) -> None:
    def check(block: CardSection, phrase: Phrase) -> None:
        heard = understand(Utterance((f"kitchen voice {phrase.say}",)), book.grammar([phrase.stage]))
        assert heard.intent == phrase.intent

    every(check, PHRASES)


def test_a_stage_shows_every_command_that_a_process_hangs_on() -> None:
    shown = {block.name: {phrase.intent for phrase in block.phrases} for block in BLOCKS}
    for intent, entry in register()["commands"].items():
        if isinstance(entry["when"], list) and grade(intent) == "safety":
            for stage in {*entry["when"]} & {*STAGE_BLOCKS}:
                assert intent in shown[stage] | shown["kitchen"], (intent, stage)


def test_every_command_is_on_the_card_once_at_least() -> None:
    said = {phrase.intent for _, phrase in PHRASES}
    answers = {name for name, entry in register()["commands"].items() if not isinstance(entry["when"], list)}
    assert set(register()["commands"]) - said <= {
        "number",
        "choice",
        "skip",
        "attention",
        "both",
        "neither",
        "not_load",
    }
    assert said & answers
    assert {stage for _, phrase in PHRASES for stage in [phrase.stage]} <= set(STAGES)


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_one_page_in_a_size_that_can_be_read_at_arms_length(paper: str, tmp_path: Path) -> None:
    assert size_for(BLOCKS, paper) >= LEAST_SIZE
    content = card_pdf(BLOCKS, "Say “kitchen voice” first, then:\nHow", "Foot", paper)
    assert content.startswith(b"%PDF-")
    assert content.count(b"/Type /Page\n") == 1


def test_what_can_not_be_read_any_more_is_refused() -> None:
    with pytest.raises(BadInput, match="Print the text instead"):
        card_pdf(BLOCKS * 3, "", "")


def test_the_command_writes_the_page_or_prints_the_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))
    (tmp_path / "profile.toml").write_text('attention = "pantry please"\n')
    printed = CliRunner().invoke(card_command, [], standalone_mode=False)
    lines = [json.loads(line) for line in printed.output.splitlines()]
    assert [line["block"] for line in lines] == [block.name for block in BLOCKS]
    out = tmp_path / "card.pdf"
    CliRunner().invoke(card_command, ["--out", str(out)], standalone_mode=False)
    assert out.read_bytes().startswith(b"%PDF-")


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
