"""Of what cooks say on a canning day, nine of ten are taken for what fits, as the lists in `natural` have it."""

import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "scripts"))

from bench.talking import Kitchens, Row, judged, lists  # noqa: E402

LISTS = dict(lists())


@pytest.fixture(scope="module")
def kitchens() -> Kitchens:
    return Kitchens()


@pytest.mark.parametrize("name", LISTS)
def test_nine_of_ten_sentences_are_taken_for_what_fits(kitchens: Kitchens, name: str) -> None:
    rows = LISTS[name]
    wrong = [(row.situation, row.said) for row in rows if not judged(row, kitchens.type(row.situation, row.said).taken)]
    assert len(rows) > 50
    assert len(wrong) <= len(rows) / 10, wrong


def test_a_sentence_that_means_nothing_is_a_miss(kitchens: Kitchens) -> None:
    assert kitchens.type("hold", "the moon is made of green cheese").taken == "miss"
    assert not judged(Row("hold", "x", ()), "miss")
