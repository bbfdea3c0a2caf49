"""The kitchen's profile: nothing assumed, mistakes named with line and field, written whole or not at all."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitchenvoice.app.languages import book_for, in_language, require_own_names
from kitchenvoice.errors import BadProfile
from kitchenvoice.kitchen import folder as folder_module
from kitchenvoice.kitchen.folder import ENVIRONMENT, home
from kitchenvoice.kitchen.profile import (
    FILE_NAME,
    JAR_SIZES,
    Canner,
    Profile,
    change_profile,
    load_profile,
    write_profile,
)
from kitchenvoice.language import load_language

ATTENTION_PHRASES = tuple(load_language("en").table("attention").values())
FULL = """\
altitude_ft = 1250
units = "us"
usual_jar = "pint"
attention = "Cellar  Door"
speech_level = "brief"
speech_rate_wpm = 190
volume = 1
voice = "en-gb"
input_device = "desk microphone"

[[canner]]
name = "the big one"
gauge = "dial"
dial_error_psi = -1
dial_tested = 2026-04-18
quart_jars = 7
[canner.capacity]
quart = 7
pint = 9

[[canner]]
number = 4
gauge = "weighted"
capacity = { half-pint = 12 }
"""


def load(folder: Path, text: str) -> Profile:
    (folder / FILE_NAME).write_text(text, encoding="utf-8")
    return load_profile(folder)


def test_an_absent_file_is_a_kitchen_of_which_nothing_is_known(tmp_path: Path) -> None:
    profile = load_profile(tmp_path)
    assert profile == Profile()
    assert profile.altitude_ft is None
    assert profile.canners == ()
    assert profile.usual_jar is None


def test_an_empty_file_is_a_kitchen_of_which_nothing_is_known(tmp_path: Path) -> None:
    assert load(tmp_path, "# nothing yet\n") == Profile()


def test_every_field_is_read(tmp_path: Path) -> None:
    assert load(tmp_path, FULL) == Profile(
        altitude_ft=1250,
        usual_jar="pint",
        attention="cellar door",
        speech_level="brief",
        speech_rate_wpm=190,
        volume=1.0,
        voice="en-gb",
        input_device="desk microphone",
        canners=(
            Canner(
                number=1,
                name="the big one",
                gauge="dial",
                dial_error_psi=-1.0,
                dial_tested=date(2026, 4, 18),
                capacity={"quart": 7, "pint": 9},
                quart_jars=7,
            ),
            Canner(number=4, gauge="weighted", capacity={"half-pint": 12}),
        ),
    )


def test_a_canner_says_nothing_of_a_gauge_that_was_not_given(tmp_path: Path) -> None:
    (canner,) = load(tmp_path, "[[canner]]\n").canners
    assert (canner.number, canner.gauge, canner.dial_error_psi, dict(canner.capacity)) == (1, None, None, {})


def test_a_canner_is_called_by_its_name_or_else_its_number(tmp_path: Path) -> None:
    profile = load(tmp_path, FULL)
    assert [canner.spoken for canner in profile.canners] == ["the big one", "canner 4"]
    assert profile.canner(4) is profile.canners[1]
    assert profile.canner(2) is None


@pytest.mark.parametrize(
    ("meters", "feet"), [("0", 0), ("0.3048", 1), ("304.8", 1000), ("304.9", 1001), ("305", 1001), ("320.04", 1050)]
)
def test_meters_are_rounded_up_to_whole_feet(tmp_path: Path, meters: str, feet: int) -> None:
    assert load(tmp_path, f"altitude_m = {meters}\n").altitude_ft == feet


MISTAKES = [
    ("altitude_ft = 12.5", 1, "altitude_ft", "whole number of feet"),
    ('\naltitude_ft = "1250"', 2, "altitude_ft", "altitude_ft = 1250"),
    ("altitude_ft = true", 1, "altitude_ft", "whole number of feet"),
    ("altitude_ft = 99999", 1, "altitude_ft", "outside -1500 to 30000 feet"),
    ("altitude_m = nan", 1, "altitude_m", "number of meters"),
    ("altitude_ft = 1000\naltitude_m = 300", 2, "altitude_m", "given twice"),
    ("altidude_ft = 1000", 1, "altidude_ft", "Did you mean altitude_ft?"),
    ("altitude = 900", 1, "altitude", "Did you mean altitude_m or altitude_ft?"),
    ("[[canners]]\nnumber = 1", 1, "canners", "Did you mean canner?"),
    ("[canner]\nnumber = 1", 1, "canner", "[[canner]] with two brackets"),
    ("xyzzy = 1", 1, "xyzzy", "There are: altitude_ft"),
    ('units = "imperial"', 1, "units", "us, metric"),
    ('usual_jar = "litre"', 1, "usual_jar", "half-pint, pint"),
    ('attention = "42"', 1, "attention", "one to four English words"),
    ('attention = "one two three four five"', 1, "attention", "one to four English words"),
    ('speech_level = "loud"', 1, "speech_level", "full, brief"),
    ("speech_rate_wpm = 1000", 1, "speech_rate_wpm", "outside 80 to 300"),
    ("volume = 0", 1, "volume", "outside 0.05 to 1"),
    ('voice = " "', 1, "voice", "one line of text"),
    ('input_device = "a\\nb"', 1, "input_device", "one line of text"),
    ('[[canner]]\n\ngauge = "digital"', 3, "gauge", "dial, weighted"),
    ('[[canner]]\n[[canner]]\ngage = "dial"', 3, "gage", "Did you mean gauge?"),
    ("[[canner]]\ndial_error_psi = 0.5", 2, "dial_error_psi", "only a dial gauge is tested"),
    ('[[canner]]\ngauge = "weighted"\ndial_tested = 2026-01-01', 3, "dial_tested", "only a dial gauge is tested"),
    ('[[canner]]\ngauge = "dial"\ndial_tested = "2026-01-01"', 3, "dial_tested", "without quotes"),
    ('[[canner]]\ngauge = "dial"\ndial_tested = 2026-01-01T08:00:00', 3, "dial_tested", "isn't a date"),
    ('[[canner]]\ngauge = "dial"\ndial_error_psi = 40', 3, "dial_error_psi", "outside -10 to 10 psi"),
    ("[[canner]]\ncapacity = 7", 2, "capacity", "how many jars of which size"),
    ("[[canner]]\ncapacity = { quarts = 7 }", 2, "capacity", "Did you mean quart?"),
    ("[[canner]]\n[canner.capacity]\nquart = 0", 2, "capacity", "for quart: 0 is outside 1 to 100 jars"),
    ('[[canner]]\ngauge = "dial"\ncapacity = { quart = 2 }', 3, "capacity", "at least 4 quart jars, upright"),
    ('[[canner]]\nquart_jars = 3\ngauge = "weighted"', 2, "quart_jars", "at least 4 quart jars, upright"),
    ("[[canner]]\nnumber = 0", 2, "number", "outside 1 to 99"),
    ("[[canner]]\nnumber = 2\n[[canner]]\nnumber = 2", 4, "number", "two canners have the same number"),
    ("[[canner]]\n[[canner]]\nnumber = 1", 3, "number", "two canners have the same number"),
    ('[[canner]]\nname = "Red"\n[[canner]]\nname = "red"', 4, "name", "two canners have the same name"),
    ("[[canner]]\n" * 5_000, 21, "canner", "this is canner 21 of 5,000. Keep 20 at the most."),
    ("units = us", 1, "", "Invalid value"),
    ('units = "us"\nunits = "us"', 2, "", "overwrite"),
    ('[[canner]]\n\nname = "red', 3, "", "Write one field a line"),
]


@pytest.mark.parametrize(("text", "line", "field", "says"), MISTAKES, ids=[case[0][:40] for case in MISTAKES])
def test_a_mistake_is_named_with_file_line_field_and_what_to_write(
    tmp_path: Path, text: str, line: int, field: str, says: str
) -> None:
    with pytest.raises(BadProfile) as caught:
        load(tmp_path, text)
    message = str(caught.value)
    assert message.startswith(f"{tmp_path / FILE_NAME}, line {line}{', ' + field if field else ''}: ")
    assert says in message


def test_a_file_in_another_encoding_is_named_with_its_line(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_bytes(b'units = "us"\nvoice = "Andr\xe9"\n')
    with pytest.raises(BadProfile, match=r"line 2: this isn't UTF-8"):
        load_profile(tmp_path)


def test_a_folder_a_pipe_a_device_and_an_endless_file_in_place_of_the_file_are_named(tmp_path: Path) -> None:
    makers: dict[str, Callable[[Path], object]] = {
        "folder": Path.mkdir,
        "pipe": os.mkfifo,
        "device": lambda file: file.symlink_to("/dev/zero"),
        "long": lambda file: file.write_bytes(b"#" * 100_001),
    }
    for name, make in makers.items():
        (tmp_path / name).mkdir()
        file = tmp_path / name / FILE_NAME
        make(file)
        with pytest.raises(BadProfile, match=r"(isn't an ordinary file|is longer than 100,000 bytes)\. Move it out of"):
            load_profile(tmp_path / name)


def test_a_profile_that_is_a_link_is_changed_where_it_leads(tmp_path: Path) -> None:
    far = tmp_path / "far.toml"
    far.write_text('units = "us"\n')
    (tmp_path / FILE_NAME).symlink_to(far)
    change_profile(tmp_path, load_profile(tmp_path), replace(load_profile(tmp_path), units="metric"))
    assert (tmp_path / FILE_NAME).is_symlink()
    assert 'units = "metric"' in far.read_text()


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_bytes(b'\xef\xbb\xbfunits = "metric"\n')
    assert load_profile(tmp_path).units == "metric"


# ---------------------------------------------------------------- writing

_TEXTS = st.text(min_size=1, max_size=60).map(str.strip).filter(lambda text: bool(text) and text.isprintable())
_PHRASES = st.lists(st.from_regex(r"[a-z']{1,9}", fullmatch=True), min_size=1, max_size=4).map(" ".join)
_PSI = st.floats(-10, 10)


@st.composite
def canners(draw: st.DrawFn, number: int) -> Canner:
    gauge = draw(st.sampled_from([None, "dial", "weighted"]))
    return Canner(
        number=number,
        name=draw(st.just("") | _TEXTS),
        gauge=gauge,
        dial_error_psi=draw(st.none() | _PSI) if gauge == "dial" else None,
        dial_tested=draw(st.none() | st.dates()) if gauge == "dial" else None,
        capacity=draw(st.dictionaries(st.sampled_from(JAR_SIZES), st.integers(4, 100))),
        quart_jars=draw(st.none() | st.integers(4, 100)),
    )


@st.composite
def profiles(draw: st.DrawFn) -> Profile:
    numbers = draw(st.lists(st.integers(1, 99), max_size=3, unique=True))
    owned = tuple(draw(canners(number)) for number in numbers)
    names = [canner.name.lower() for canner in owned if canner.name]
    return Profile(
        altitude_ft=draw(st.none() | st.integers(-1_500, 30_000)),
        units=draw(st.sampled_from(["us", "metric"])),
        usual_jar=draw(st.none() | st.sampled_from(JAR_SIZES)),
        usual_canner=draw(st.none() | st.integers(1, 99)),
        attention=draw(_PHRASES),
        speech_level=draw(st.sampled_from(["full", "brief"])),
        speech_rate_wpm=draw(st.integers(80, 300)),
        volume=draw(st.floats(0.05, 1)),
        voice=draw(st.none() | _TEXTS),
        input_device=draw(st.none() | _TEXTS),
        gain_db=draw(st.floats(0, 30)),
        alike=draw(st.sampled_from([(), ("eleven seven",), ("nine five", "six sixty")])),
        output_device=draw(st.none() | _TEXTS),
        canners=owned if len(set(names)) == len(names) else (),
    )


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=50)
@given(profile=profiles())
def test_what_is_written_is_read_back(tmp_path: Path, profile: Profile) -> None:
    write_profile(tmp_path, profile)
    assert load_profile(tmp_path) == profile


def test_the_written_file_explains_every_field_and_is_private(tmp_path: Path) -> None:
    write_profile(tmp_path, Profile())
    file = tmp_path / FILE_NAME
    text = file.read_text(encoding="utf-8")
    for key in ("altitude_ft", "usual_jar", "voice", "input_device", "output_device"):
        assert f"\n# {key} = " in text, "what isn't known stays a comment"
    assert "# [[canner]]" in text
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_every_example_in_the_file_can_be_used_as_it_stands(tmp_path: Path) -> None:
    write_profile(tmp_path, Profile(canners=(Canner(number=1),)))
    lines = (tmp_path / FILE_NAME).read_text(encoding="utf-8").splitlines()
    bare = [line.removeprefix("# ") if line.startswith("# ") and " = " in line else line for line in lines]
    profile = load(tmp_path, "\n".join(bare))
    assert profile.altitude_ft is not None
    assert profile.canners[0].dial_tested is not None
    assert profile.canners[0].capacity


@pytest.mark.parametrize(
    "bad",
    [
        Profile(altitude_ft=99_999),
        Profile(voice="two\nlines"),
        Profile(attention="Kitchen Voice"),
        Profile(canners=(Canner(number=1), Canner(number=1))),
        Profile(canners=(Canner(number=1, gauge="weighted", dial_error_psi=0.0),)),
    ],
    ids=["altitude", "two lines", "not its plain form", "same number", "weighted with a dial's error"],
)
def test_what_could_not_be_read_back_is_not_written(tmp_path: Path, bad: Profile) -> None:
    write_profile(tmp_path, Profile(altitude_ft=700))
    with pytest.raises(BadProfile):
        write_profile(tmp_path, bad)
    assert load_profile(tmp_path) == Profile(altitude_ft=700)


def test_a_write_that_breaks_off_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_profile(tmp_path, Profile(altitude_ft=700))

    def full_disk(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(BadProfile, match=r"No space left on device. Make room"):
        write_profile(tmp_path, Profile(altitude_ft=900))
    assert load_profile(tmp_path) == Profile(altitude_ft=700)
    assert [path.name for path in tmp_path.iterdir()] == [FILE_NAME]


# ---------------------------------------------------------------- the folder


def test_the_folder_is_made_for_its_owner_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(ENVIRONMENT, str(tmp_path / "my kitchen" / "data"))
    folder = home()
    assert folder == tmp_path / "my kitchen" / "data"
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert home() == folder, "a second time does no harm"


def test_without_a_name_the_folder_lies_with_the_users_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(ENVIRONMENT, raising=False)
    monkeypatch.setattr(folder_module.sys, "platform", "linux")
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert home() == tmp_path / "data" / "kitchenvoice"
    monkeypatch.setenv("XDG_DATA_HOME", "not/absolute")
    assert home() == tmp_path / ".local" / "share" / "kitchenvoice"


def test_a_folder_that_cannot_be_made_is_named_with_the_way_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv(ENVIRONMENT, str(tmp_path / "file" / "kitchen"))
    with pytest.raises(BadProfile, match=f"can't be made: .* Name another one with {ENVIRONMENT}"):
        home()


# ---------------------------------------------------------------- names that mean something else


@pytest.mark.parametrize(
    ("text", "line", "field"),
    [
        ('attention = "yes"', 1, "attention"),
        ('altitude_ft = 900\nattention = "pressure is eleven"', 2, "attention"),
        ('attention = "raw pack"', 1, "attention"),  # an answer
        ('[[canner]]\nname = "canner two"\n[[canner]]\nname = "the old one"', 2, "name"),
        ('[[canner]]\nname = "the old one"\n[[canner]]\n\nname = "the first canner"', 5, "name"),
        ('[[canner]]\nname = "green beans"', 2, "name"),
        ('[[canner]]\nname = "cancel"', 2, "name"),
    ],
)
def test_a_name_that_is_said_for_something_else_is_refused_with_its_line(
    tmp_path: Path, text: str, line: int, field: str
) -> None:
    (tmp_path / "profile.toml").write_text(text)
    profile = load_profile(tmp_path)
    with pytest.raises(BadProfile, match=rf"profile\.toml, line {line}, {field}: .* Write for example: {field} = "):
        require_own_names(book_for(profile), profile, tmp_path)


@pytest.mark.parametrize("attention", [*ATTENTION_PHRASES, "ahoy"])
@pytest.mark.parametrize("names", [("the big one", "the small one"), ("canner one", ""), ("big blue", "the kettle")])
def test_names_of_the_cooks_own_are_taken(tmp_path: Path, attention: str, names: tuple[str, str]) -> None:
    canners = tuple(Canner(number=number, name=name) for number, name in enumerate(names, 1))
    profile = Profile(attention=attention, canners=canners)
    require_own_names(book_for(profile), profile, tmp_path)


def test_german_attention_words_are_taken(tmp_path: Path) -> None:
    profile = in_language(Profile(canners=(Canner(number=1, name="der große"),)), "de")
    require_own_names(book_for(profile), profile, tmp_path)
