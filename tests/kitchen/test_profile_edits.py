"""A change by voice edits only its own line of profile.toml; comments, order and all other lines stay the same."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from kitchenvoice.errors import BadProfile
from kitchenvoice.kitchen.profile import FILE_NAME, Canner, Profile, change_profile, load_profile, write_profile

OWN = """\
# our kitchen; grandmother's numbers
altitude_ft = 1250   # from the survey map
units = "us"
# attention = "kitchen voice"

# the old one leaks a little
[[canner]]
name = "the old one"  # since 1998
gauge = "dial"
[canner.capacity]
quart = 7   # six fit better

[[canner]]
number = 4
gauge = "weighted"
"""


def change(folder: Path, text: str, **changes: object) -> str:
    (folder / FILE_NAME).write_text(text, encoding="utf-8")
    before = load_profile(folder)
    after = replace(before, **changes)  # type: ignore[arg-type]
    change_profile(folder, before, after)
    assert load_profile(folder) == after
    return (folder / FILE_NAME).read_text(encoding="utf-8")


def test_only_the_line_that_changed_is_another(tmp_path: Path) -> None:
    text = change(tmp_path, OWN, altitude_ft=1300)
    assert text == OWN.replace("1250", "1300")


def test_a_value_takes_the_place_of_its_commented_example(tmp_path: Path) -> None:
    text = change(tmp_path, OWN, attention="pantry please")
    assert text == OWN.replace('# attention = "kitchen voice"', 'attention = "pantry please"')


def test_a_value_without_a_place_is_written_above_the_canners(tmp_path: Path) -> None:
    text = change(tmp_path, OWN, usual_jar="pint")
    assert text.index('usual_jar = "pint"') < text.index("[[canner]]")
    assert text.replace('usual_jar = "pint"\n', "") == OWN


def test_a_canner_is_changed_in_its_own_table(tmp_path: Path) -> None:
    before = OWN
    (tmp_path / FILE_NAME).write_text(before, encoding="utf-8")
    old, other = load_profile(tmp_path).canners
    text = change(tmp_path, before, canners=(replace(old, dial_error_psi=0.5, dial_tested=date(2026, 4, 1)), other))
    assert "dial_error_psi = 0.5" in text
    assert "dial_tested = 2026-04-01" in text
    for line in before.splitlines():
        assert line in text.splitlines()


def test_a_new_canner_is_added_with_its_comments_and_a_forgotten_one_goes(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_text(OWN, encoding="utf-8")
    old, _ = load_profile(tmp_path).canners
    text = change(tmp_path, OWN, canners=(old, Canner(number=2, gauge="weighted", capacity={"quart": 5})))
    assert "number = 4" not in text
    assert text.startswith("# our kitchen; grandmother's numbers\naltitude_ft = 1250   # from the survey map\n")
    assert "# six fit better" in text
    assert "capacity = { quart = 5 }" in text


@pytest.mark.parametrize("feet", [0, 900, 1247, 5280, 8000])
def test_meters_stay_meters(tmp_path: Path, feet: int) -> None:
    text = change(tmp_path, "altitude_m = 380  # measured\n", altitude_ft=feet)
    assert "altitude_m = " in text
    assert "# measured" in text


def test_what_was_changed_by_hand_meanwhile_stays(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_text(OWN, encoding="utf-8")
    before = load_profile(tmp_path)
    (tmp_path / FILE_NAME).write_text(OWN.replace("1250", "4100"), encoding="utf-8")
    change_profile(tmp_path, before, replace(before, speech_level="brief"))
    there = load_profile(tmp_path)
    assert (there.altitude_ft, there.speech_level) == (4100, "brief")


def test_a_file_broken_by_hand_meanwhile_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_text("altitude_ft = much\n", encoding="utf-8")
    with pytest.raises(BadProfile, match="line 1"):
        change_profile(tmp_path, Profile(), Profile(altitude_ft=900))
    assert (tmp_path / FILE_NAME).read_text(encoding="utf-8") == "altitude_ft = much\n"


def test_without_a_file_the_whole_commented_one_is_written(tmp_path: Path) -> None:
    change_profile(tmp_path, Profile(), Profile(altitude_ft=900, asked=("units", "canner.1.gauge")))
    assert load_profile(tmp_path) == Profile(altitude_ft=900, asked=("units", "canner.1.gauge"))
    assert "# usual_jar = " in (tmp_path / FILE_NAME).read_text(encoding="utf-8")


_VALUES = st.fixed_dictionaries(
    {
        "altitude_ft": st.none() | st.integers(0, 9000),
        "units": st.sampled_from(["us", "metric"]),
        "usual_jar": st.none() | st.sampled_from(["pint", "quart"]),
        "attention": st.sampled_from(["kitchen voice", "pantry please"]),
        "asked": st.lists(st.sampled_from(["units", "altitude", "canner.1.name"]), unique=True).map(tuple),
        "canners": st.lists(
            st.builds(
                Canner,
                number=st.integers(1, 4),
                gauge=st.sampled_from([None, "dial", "weighted"]),
                capacity=st.dictionaries(st.sampled_from(["pint", "quart"]), st.integers(4, 20)),
                layers=st.dictionaries(st.sampled_from(["pint", "quart"]), st.integers(1, 4)),
            ),
            max_size=3,
            unique_by=lambda canner: canner.number,
        ).map(tuple),
    }
)


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
    max_examples=12,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)
@given(first=_VALUES, then=st.lists(_VALUES, min_size=1, max_size=3))
def test_any_change_is_read_back_and_no_comment_is_lost(
    tmp_path: Path, first: dict[str, object], then: list[dict[str, object]]
) -> None:
    before = Profile(**first)  # type: ignore[arg-type]
    write_profile(tmp_path, before)
    file = tmp_path / FILE_NAME
    file.write_text("# a note of the cook\n" + file.read_text(encoding="utf-8"), encoding="utf-8")
    for values in then:
        after = Profile(**values)  # type: ignore[arg-type]
        change_profile(tmp_path, before, after)
        there = load_profile(tmp_path)
        assert {canner.number: canner for canner in there.canners} == {each.number: each for each in after.canners}
        assert replace(there, canners=()) == replace(after, canners=())
        assert "# a note of the cook" in file.read_text(encoding="utf-8")
        before = there
