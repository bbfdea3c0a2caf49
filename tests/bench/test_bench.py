"""The hearing bench counts right, says the same each time; its clips are what they claim."""

import sys
from pathlib import Path
from random import Random

import numpy as np
import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "scripts"))

from bench.corpus import CONDITIONS, place  # noqa: E402
from bench.foods import food_tasks, write_foods  # noqa: E402
from bench.real import in_noise  # noqa: E402
from bench.real_report import write_real  # noqa: E402
from bench.sentences import number_words, sentences  # noqa: E402
from bench.small_talk import KINDS, talk  # noqa: E402
from bench.stats import at_most_per_hour, percentile, wilson  # noqa: E402
from bench.summary import tally, verdict  # noqa: E402

from kitchenvoice.grammar import GrammarBook  # noqa: E402
from kitchenvoice.grammar.foods import reference_foods  # noqa: E402

REGISTER = ROOT / "grammars" / "register.yaml"


@pytest.mark.parametrize(
    ("hits", "n", "low", "high"),
    [(0, 10, 0.0, 0.2775), (5, 10, 0.2366, 0.7634), (98, 100, 0.9300, 0.9945), (10, 10, 0.7225, 1.0)],
)
def test_wilson_intervals_agree_with_published_tables(hits: int, n: int, low: float, high: float) -> None:
    assert wilson(hits, n) == pytest.approx((low, high), abs=5e-4)


@pytest.mark.parametrize(("events", "hours", "bound"), [(0, 6.0, 0.5), (1, 1.0, 4.74), (20, 1.0, 29.06)])
def test_a_rate_is_bounded_from_above(events: int, hours: float, bound: float) -> None:
    assert at_most_per_hour(events, hours) == pytest.approx(bound, rel=0.02)


def test_percentiles_are_values_that_occurred() -> None:
    assert percentile([5.0, 1.0, 3.0], 0.5) == 3.0
    assert percentile([5.0, 1.0, 3.0], 0.95) == 5.0
    assert np.isnan(percentile([], 0.5))


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (0, "zero"),
        (13, "thirteen"),
        (40, "forty"),
        (99, "ninety nine"),
        (5200, "five thousand two hundred"),
        (700, "seven hundred"),
    ],
)
def test_numbers_become_words(number: int, words: str) -> None:
    assert number_words(number) == words


def test_sentences_repeat_and_leave_no_slot_open() -> None:
    one, again, other = sentences(REGISTER, 1), sentences(REGISTER, 1), sentences(REGISTER, 2)
    assert one == again
    assert [s.text for s in one] != [s.text for s in other]
    assert not any("<" in s.text for s in one)
    assert len(one) > 150


@pytest.mark.parametrize("kind", KINDS)
def test_other_talk_is_no_sentence_of_any_grammar(kind: str) -> None:
    book = GrammarBook.load()
    grammar = book.grammar(("hold", "count", "pack", "idle"), attention="optional", question="count")
    random = Random(3)
    for _ in range(150):
        assert not grammar.is_sentence(talk(kind, random))


def test_a_verdict_wants_exactly_what_was_meant() -> None:
    yes, no = {"intent": "yes", "slots": {}}, {"intent": "no", "slots": {}}
    cases = {"right": [yes], "wrong": [no], "rejected": []}
    for expected, meant in cases.items():
        assert verdict({"meant": meant, "expected": yes}) == expected
    assert verdict({"meant": [yes, no], "expected": yes}) == "wrong"
    counted = tally([{"meant": m, "expected": yes} for m in cases.values()])
    assert (counted.right, counted.wrong, counted.rejected, counted.n) == (1, 1, 1, 3)


@pytest.mark.parametrize("condition", CONDITIONS, ids=lambda c: c.name)
def test_a_clip_knows_where_the_speech_ends(condition: object) -> None:
    tone = (4_000 * np.sin(np.arange(8_000) * 0.3)).astype(np.int16)
    clip = place(np.concatenate([tone, np.zeros(4_000, np.int16)]), condition, 1)
    assert clip.speech_end == pytest.approx(0.7 * 16_000 + 8_000, abs=40)
    assert len(clip.samples) > clip.speech_end + 24_000
    again = place(np.concatenate([tone, np.zeros(4_000, np.int16)]), condition, 1)
    assert np.array_equal(clip.samples, again.samples)


def test_noise_is_mixed_loudest_frame_against_loudest_frame() -> None:
    speech = (3_000 * np.sin(np.arange(32_000) * 0.3)).astype(np.int16)
    noise = (500 * np.sin(np.arange(320_000) * 1.1)).astype(np.int16)
    noise[::40_000] = 20_000
    for snr_db in (12.0, 6.0):
        mixed = in_noise(speech, noise, snr_db, 3).astype(np.float64) - speech
        frames = mixed[: len(mixed) // 2048 * 2048].reshape(-1, 2048)
        loudest = np.sqrt(np.max(np.mean(frames**2, axis=1)))
        assert 20 * np.log10(3_000 / np.sqrt(2) / loudest) == pytest.approx(snr_db, abs=0.2)


def test_the_report_keeps_real_and_synthetic_voices_apart(tmp_path: Path) -> None:
    common = {
        "condition": "as recorded",
        "said": "5.0",
        "speech": "five",
        "acted": [],
        "detected": 1,
        "trouble": [None],
    }
    records = [
        common | {"source": "real", "kind": "number", "verdict": "right"},
        common | {"source": "real", "kind": "number", "verdict": "right"},
        common | {"source": "synthetic", "kind": "number", "verdict": "wrong", "acted": ["9.0"]},
    ]
    text = write_real(records, {"every": 1, "second": "none", "voices": "slt"}, tmp_path).read_text("utf-8")
    assert "| as recorded | 2 | 100.0 % (34-100) | 0 | 0 | 1 | 0.0 % (0-79) | 0 | 1 |" in text
    assert "- synthetic, as recorded: 5.0 -> ['9.0']" in text


def test_every_name_of_a_food_is_said_three_times_each_time_by_another_voice(tmp_path: Path) -> None:
    planned = food_tasks(tmp_path, 1)
    assert len({(task.name, task.sentence, task.cook) for task in planned}) == 3 * len(reference_foods())
    assert len({(task.name, task.cook) for task in planned}) == len(planned)
    assert {task.name for task in planned} == reference_foods().keys()


def test_a_name_that_was_not_right_is_told_with_what_was_heard(tmp_path: Path) -> None:
    figs, eggs = ({"intent": "choice", "slots": {"food": food}} for food in ("figs", "eggs"))
    common = {"name": "figs", "kind": "food", "sentence": "{}", "expected": figs, "detected": 1}
    records = [
        common | {"voice": "slt", "meant": [figs], "heard": [["figs"]]},
        common | {"voice": "kal", "meant": [eggs], "heard": [["the eggs", "figs"]]},
        common | {"voice": "awb", "meant": [], "heard": [], "detected": 0},
    ]
    text = write_foods(records, {"second": "none"}, tmp_path).read_text("utf-8")
    assert "| all | 3 | 33.3 % (6-79) | 1 | 0 | 1 |" in text
    assert '- figs: wrong by kal, "the eggs"; rejected by awb, ""' in text
