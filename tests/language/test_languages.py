"""A second language: core commands understood and answered in it, with its number words; English is unaffected."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
from dataclasses import replace
from pathlib import Path
from string import Formatter

import pytest
from click.testing import CliRunner

from kitchenvoice.app.languages import book_for, in_language, model_of
from kitchenvoice.cli.rehearse import rehearse_command
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.errors import BadInput, ModelMissing
from kitchenvoice.grammar import QUESTIONS, STAGES, GrammarBook, grammar_folder
from kitchenvoice.grammar.jsgf import read_file
from kitchenvoice.hearing.recognise import model_store
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.kitchen.profile import LANGUAGES, Profile
from kitchenvoice.language import load_language
from kitchenvoice.ports import Utterance
from kitchenvoice.process.steps import all_steps

ROOT = Path(__file__).parents[2]
TEXTS = ROOT / "kitchenvoice" / "language" / "texts"
GERMAN = tomllib.loads((TEXTS / "de.toml").read_text("utf-8"))
ENGLISH = tomllib.loads((TEXTS / "en.toml").read_text("utf-8"))


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("7 Gläser in Topf 1", "sieben Gläser in Topf eins"),
        ("der Druck ist 10,5", "der Druck ist zehneinhalb"),
        ("1.200 Fuß", "eintausendzweihundert Fuß"),
        ("600m, 11 psi", "sechshundert Meter, elf Pfund"),
        ("7 mal 3 Gläser", "sieben mal drei Gläser"),
        ("am 3.4.2026, 1/2 Pfund", "am 3.4.2026, 1/2 Pfund"),
    ],
)
def test_figures_typed_in_german_are_read_as_words(typed: str, words: str) -> None:
    assert load_language("de").typed(typed) == words
    assert load_language("en").typed(typed) == typed


@pytest.fixture(scope="module")
def book() -> GrammarBook:
    return book_for(in_language(PRACTICE_KITCHEN, "de"))


@pytest.mark.parametrize(
    ("value", "said"),
    [(0, "null"), (1, "eins"), (11, "elf"), (16, "sechzehn"), (17, "siebzehn"), (21, "einundzwanzig"), (30, "dreißig"),
     (25, "fünfundzwanzig"), (99, "neunundneunzig"), (100, "einhundert"), (101, "einhunderteins"), (900, "neunhundert"),
     (1200, "eintausendzweihundert"), (5280, "fünftausendzweihundertachtzig"), (10.5, "zehneinhalb"), (0.5, "ein halb"),
     (1.25, "eins und ein Viertel"), (0.3, "null Komma drei")],
)  # fmt: skip
def test_german_numbers_are_said_as_germans_say_them(value: float, said: str) -> None:
    assert load_language("de").number(value) == said


@pytest.mark.parametrize(
    ("say", "english", "german"),
    [
        (lambda words: words.duration(90), "one and a half minutes", "eineinhalb Minuten"),
        (lambda words: words.duration(60), "one minute", "eine Minute"),
        (lambda words: words.duration(5400), "ninety minutes", "neunzig Minuten"),
        (lambda words: words.duration(3 * 86400), "about three days", "etwa drei Tage"),
        (lambda words: words.duration(8100), "two hours and fifteen minutes", "zwei Stunden und fünfzehn Minuten"),
        (lambda words: words.jars("quart", 7), "seven quarts", "sieben Quartgläser"),
        (lambda words: words.pounds_pressure(11), "eleven pounds pressure", "elf Pfund Druck"),
        (lambda words: words.altitude(900), "nine hundred feet", "neunhundert Fuß"),
        (lambda words: words.digits(15), "one five", "eins fünf"),
        (lambda words: words.canner(2), "canner two", "Topf zwei"),
        (lambda words: words.listed(["a", "b"]), "a or b", "a oder b"),
    ],
)
def test_measures_are_said_in_the_language_that_is_spoken(say, english: str, german: str) -> None:
    assert say(load_language("en")) == english
    assert say(load_language("de")) == german


def test_grammars_are_read_anew_only_for_another_name():
    german = in_language(PRACTICE_KITCHEN, "de")
    book = book_for(german)
    named, *others = german.canners
    fuller = replace(german, canners=(replace(named, capacity={"quart": 5}), *others))
    assert book_for(fuller) is book
    assert book_for(replace(german, canners=(replace(named, name="der alte"), *others))) is not book


def test_each_number_word_of_the_grammar_has_its_own_value(book: GrammarBook) -> None:
    text = (grammar_folder() / "de" / "numbers.jsgf").read_text("utf-8")
    pairs = re.findall(r"\(([^()]+)\) \{set \w+ ([\d.]+)\}", text)
    assert len(pairs) > 150
    for said, value in pairs:
        assert said == load_language("de").number(float(value)).lower()


CORE = {
    "neue ladung": ("load_start", {}),
    "sieben quartgläser grüne bohnen roh eingelegt": ("load_start", {"count": 7, "food": "snap_beans", "pack": "raw"}),
    "ja": ("yes", {}),
    "stimmt nicht": ("no", {}),
    "der dampf ist gleichmäßig": ("steam_steady", {}),
    "kein dampf mehr": ("steam_stopped", {}),
    "das gewicht ist drauf": ("weight_on", {}),
    "der druck ist zehneinhalb": ("pressure_is", {"pressure": 10.5}),
    "der druck ist gefallen auf neun": ("pressure_low", {"pressure": 9}),
    "wie lange noch": ("ask_time", {}),
    "sei still": ("quiet", {}),
    "hilfe": ("help", {}),
    "noch einmal": ("repeat", {}),
    "streich das": ("scratch", {}),
    "stell eine uhr auf zehn minuten": ("timer_start", {"minutes": 10}),
    "moment": ("waiting", {}),
    "danke schön": ("thanked", {}),
    "was hast du gesagt": ("repeat", {}),
    "was kommt als nächstes": ("where_are_we", {}),
    "bitte lauter": ("louder", {}),
    "das war falsch": ("scratch", {}),
    "deckel drauf": ("lid_locked", {}),
    "dampf strömt gleichmäßig aus": ("steam_steady", {}),
    "druck ist wieder bei elf pfund": ("pressure_is", {"pressure": 11}),
    "die anzeige steht auf null": ("gauge_zero", {}),
    "wie lange brauchen quartgläser karotten roh": ("ask_hold", {"food": "carrots", "jar": "quart", "pack": "raw"}),
    "wie viel druck für grüne bohnen": ("ask_pressure", {"food": "snap_beans"}),
    "fünf dicht und zwei offen": ("seal_count", {"sealed": 5, "failed": 2}),
    "keins ist nicht dicht": ("seal_count", {"failed": 0}),
    "zwei davon in den kühlschrank": ("jar_outcome", {"count": 2, "outcome": "refrigerate"}),
    "starte apfelmus im dampfeinkocher": ("load_start", {"food": "applesauce", "method": "atmospheric-steam"}),
}
ANSWERS = [
    ("pack", "nein pints", "choice", {"jar": "pint"}),
    ("pack", "nein halbe liter", "choice", {"jar": "liter"}),
    ("method", "im dampfeinkocher", "choice", {"method": "atmospheric-steam"}),
    ("load_ok", "ich meinte karotten", "choice", {"food": "carrots"}),
    ("load_ok", "nein sechs gläser", "choice", {"count": 6}),
    ("setup_units", "metrisch", "choice", {"units": "metric"}),
    ("setup_altitude", "zweihundertfünfzig meter", "number", {"said_in": "meters"}),
    ("setup_altitude", "neunhundertneunzig", "number", {"value": 990}),
    ("setup_canners", "einen drucktopf", "number", {"value": 1}),
]


@pytest.mark.parametrize(("question", "said", "intent", "slots"), ANSWERS)
def test_german_answers_are_understood(
    book: GrammarBook, question: str, said: str, intent: str, slots: dict[str, object]
) -> None:
    grammar = book.grammar(STAGES, attention="answers", wake_phrase="hallo küche", question=question)
    heard = understand(Utterance((said,)), grammar)
    assert (heard.intent, slots.items() <= heard.slots.items()) == (intent, True)


def test_what_holds_a_load_is_asked_and_explained_in_german() -> None:
    """Its doubts, its reasons and what it waits for, with no English between."""
    assert GERMAN["doubting"].keys() == ENGLISH["doubting"].keys()
    assert GERMAN["whys"].keys() == ENGLISH["whys"].keys()
    assert {key for key in ENGLISH["greeting"] if key.startswith("gap")} <= GERMAN["greeting"].keys()
    said = {key.removesuffix(".say") for key in GERMAN["steps"] if key.endswith(".say")}
    assert {f"{step}.why" for step in said} <= GERMAN["steps"].keys()
    checked = {step.worded_as for step in all_steps() if step.check}
    assert {f"{step}.check" for step in checked & said} <= GERMAN["steps"].keys()


@pytest.mark.parametrize("said", CORE)
def test_the_core_commands_are_understood(book: GrammarBook, said: str) -> None:
    intent, slots = CORE[said]
    grammar = book.grammar(STAGES, wake_phrase="hallo küche")
    heard = understand(Utterance((f"Hallo Küche, {said}",)), grammar)
    assert heard.intent == intent
    assert slots.items() <= heard.slots.items()
    assert understand(Utterance((said,)), grammar).intent is None, "not without being called"


def test_no_german_sentence_has_two_meanings(book: GrammarBook) -> None:
    for question in (None, *(each for each in QUESTIONS if not each.startswith("setup_"))):
        if question is not None and question not in ("yes_no", "count", "pressure", "gauge_reading", "step_check"):
            continue
        grammar = book.grammar(STAGES, attention="optional", wake_phrase="hallo küche", question=question)
        for said in CORE:
            assert understand(Utterance((said,)), grammar).intent == CORE[said][0], (question, said)


def test_a_question_without_german_answers_is_no_end_of_the_conversation(book: GrammarBook) -> None:
    english = book_for(PRACTICE_KITCHEN)
    for question in QUESTIONS:
        grammar = book.grammar(STAGES, attention="answers", wake_phrase="hallo küche", question=question)
        assert grammar.is_sentence("hallo küche hilfe")
        rules = read_file(grammar_folder() / "question.jsgf").rules
        assert question in rules or question in (
            "any",
            "gauge_reading",
            "weight_check",
            "boil_check",
            "steam_check",
            "step_check",
            "correction",
            "note",
            "pack_ok",
        )
        assert english.grammar(STAGES, question=question) is not None


def test_every_german_sentence_fills_the_same_gaps_as_the_english_one() -> None:
    for table, entries in GERMAN.items():
        for key, text in entries.items():
            if table in ("language", "foods", "foods_too", "steps") or key.startswith("pack_"):
                continue
            gaps = {name for _, name, _, _ in Formatter().parse(text) if name}
            known = {name for _, name, _, _ in Formatter().parse(ENGLISH[table][key]) if name}
            assert gaps <= known, (table, key)
            assert not re.search(r"\d", re.sub(r"\{.*?\}", "", text)), text


def test_german_steps_name_steps_that_are_there() -> None:
    ids = {step.worded_as for step in all_steps()}
    assert {key.split(".")[0] for key in GERMAN["steps"]} <= ids
    for step in all_steps():
        if f"{step.worded_as}.say" in GERMAN["steps"] and step.caution:
            assert f"{step.worded_as}.caution" in GERMAN["steps"], f"the caution of {step.worded_as} must not be lost"


def test_no_sentence_is_a_list_of_words() -> None:
    lists = {
        "overheard",
        "help",
        "noting",
        "farewells",
        "foods_too",
        "awaited",
        "catching_up",
        "several",
        "same",
        "replying",
        "units",
        "timer_names",
    }
    for language in (ENGLISH, GERMAN):
        said = [
            (table, key, text)
            for table, entries in language.items()
            if table not in lists
            for key, text in entries.items()
            if isinstance(text, str)
        ]
        assert said
        assert [each for each in said if "|" in each[2]] == []


def test_what_a_language_lacks_is_said_in_english_and_english_is_untouched() -> None:
    german = load_language("de")
    assert german.say("render", "fault_gear") == load_language("en").say("render", "fault_gear")
    assert (
        german.say("render", "vent_done", load="Bohnen", minutes="zehn Minuten", brief=True)
        == "Bohnen. Zehn Minuten Entlüften sind um."
    )
    assert in_language(PRACTICE_KITCHEN, None) == PRACTICE_KITCHEN


def test_a_language_brings_its_words_and_voice_unless_the_cook_has_another() -> None:
    profile = in_language(Profile(), "de")
    assert (profile.attention, profile.voice) == ("hallo küche", "de")
    assert in_language(Profile(attention="cellar door"), "de").attention == "cellar door"
    with pytest.raises(BadInput, match="There are: en, de"):
        in_language(Profile(), "xx")
    with pytest.raises(ModelMissing, match="no speech model for de"):
        model_of(profile)
    assert LANGUAGES[0] == "en"


def test_a_model_that_was_brought_for_a_language_is_found_and_compared(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))
    name = load_language("de").table("language")["model"]
    model = tmp_path / "models" / name
    for file in model_store.NEEDED:
        (model / file).parent.mkdir(parents=True, exist_ok=True)
        (model / file).write_text("a model")
    command = [sys.executable, "-m", "kitchenvoice", "fetch-model", "--record", name]
    assert subprocess.run(command, capture_output=True, text=True, check=True).stderr.count(name) == 1
    german = in_language(Profile(), "de")
    assert model_of(german) == model
    (model / model_store.NEEDED[0]).write_text("a m")
    with pytest.raises(ModelMissing, match="cut short"):
        model_of(german)


@pytest.mark.parametrize(
    "script", sorted((ROOT / "tests" / "scenarios" / "de").glob("*.txt")), ids=lambda each: each.stem
)
def test_a_german_load_goes_as_its_script_expects(script: Path) -> None:
    done = CliRunner().invoke(rehearse_command, [str(script), "--language", "de", "--json"], standalone_mode=False)
    assert done.return_value == 0, done.output


def test_a_german_session_can_be_typed_and_not_spoken(tmp_path: Path) -> None:
    def start(*more: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "kitchenvoice", "start", "--language", "de", *more],
            input="welcher druck\nhilfe\n", capture_output=True, text=True, check=False, timeout=100,
            env=os.environ | {"KITCHENVOICE_HOME": str(tmp_path), "PYTHONIOENCODING": "utf-8"},
        )  # fmt: skip

    (tmp_path / "profile.toml").write_text('altitude_ft = 900\n[[canner]]\ngauge = "dial"\n')
    typed = start("--typed")
    said = [line["text"] or "" for line in map(json.loads, typed.stdout.splitlines()) if line["who"] == "kitchenvoice"]
    assert "Kitchenvoice hört zu. Sag hallo küche" in said[0]
    assert any(text.startswith("Du kannst sagen: ") for text in said)
    spoken = start()
    assert spoken.returncode == 3
    assert "no speech model for de" in spoken.stderr
