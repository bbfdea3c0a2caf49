"""Each threshold says on whose voices it was set, real or synthetic, or that it is a judgement."""

from __future__ import annotations

import ast
import re
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import pytest

from kitchenvoice.dialogue import acceptance
from kitchenvoice.hearing import thresholds

VOICES = re.compile(
    r"synthetic|espeak|real (people|person|sentence)|a person|judgement|by no voice|modelled", re.IGNORECASE
)


@pytest.mark.parametrize("module", [thresholds, acceptance], ids=["the ear's", "understanding's"])
def test_each_threshold_says_on_whose_voices_it_was_set(module: ModuleType) -> None:
    body = ast.parse(Path(str(module.__file__)).read_text("utf-8")).body
    told = {
        name: after.value.value
        for before, after in pairwise(body)
        if isinstance(before, ast.Assign | ast.AnnAssign)
        if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
        for name in re.findall(r"\b[A-Z][A-Z_]+\b", ast.unparse(before).partition("=")[0])
    }
    assert set(told) == set(module.__all__)
    assert [name for name, text in told.items() if not VOICES.search(" ".join(str(text).split()))] == []
