"""The profile of one kitchen: altitude, canners, jars, preferences for speech, and sound devices.

Kept as one commented TOML file, `profile.toml`, in the kitchen's folder. What it lacks is unknown and will be asked
for: nothing that changes a process has a default.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields, replace
from datetime import date
from pathlib import Path

from kitchenvoice.errors import BadProfile
from kitchenvoice.files import read_small, replace_file
from kitchenvoice.kitchen.loudness import USUAL_VOLUME
from kitchenvoice.kitchen.profile_file import JAR_SIZES, LANGUAGES, LEAST_QUARTS, line_of, parse, render

__all__ = [
    "FILE_NAME",
    "JAR_SIZES",
    "LANGUAGES",
    "LEAST_QUARTS",
    "SECOND_VOICE",
    "Canner",
    "Profile",
    "canner_names",
    "change_profile",
    "load_profile",
    "place_of",
    "write_profile",
]

_MAX_BYTES = 100_000

FILE_NAME = "profile.toml"

SECOND_VOICE = "neural"
"""Name of the voice that isn't the synthesiser's own: of the extra `voice`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Canner:
    """One canner. `gauge` is `dial`, `weighted`, or `None`: unknown, or a kettle for boiling water.

    `dial_error_psi` is the result of the last test, positive when the dial reads high. `capacity` is the number of jars
    by size (`{"quart": 7}`), `layers` the number of layers where it is more than one; `quart_jars` is its size, as the
    number of quarts it holds.
    """

    number: int
    name: str = ""
    gauge: str | None = None
    dial_error_psi: float | None = None
    dial_tested: date | None = None
    capacity: Mapping[str, int] = field(default_factory=dict)
    layers: Mapping[str, int] = field(default_factory=dict)
    quart_jars: int | None = None

    @property
    def spoken(self) -> str:
        """Its spoken name, else its number."""
        return self.name or f"canner {self.number}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """One kitchen. `None` and an empty tuple mean unknown. `usual_canner` takes a load for which none is named.

    `attention` is the wake phrase; `speech_level` is `full` or `brief`; `volume` is 0.05 to 1; `voice` and the devices
    are names, `None` for the system's default; the microphone is made louder by `gain_db`. `alike` are pairs of
    words, the second heard for the first of this cook's. `asked` names the questions
    of the first evening already asked, answered or not, so that it can go on after a power cut and asks nothing twice.
    `push_to_talk` is a key or a pedal's path.
    """

    altitude_ft: int | None = None
    units: str = "us"
    language: str = "en"
    usual_jar: str | None = None
    usual_canner: int | None = None
    attention: str = "kitchen voice"
    speech_level: str = "full"
    speech_rate_wpm: int = 165
    volume: float = USUAL_VOLUME
    voice: str | None = None
    input_device: str | None = None
    gain_db: float = 0.0
    alike: tuple[str, ...] = ()
    output_device: str | None = None
    push_to_talk: str | None = None
    asked: tuple[str, ...] = ()
    canners: tuple[Canner, ...] = ()

    @property
    def paper(self) -> str:
        """The usual paper beside these units: letter or A4."""
        return "letter" if self.units == "us" else "a4"

    @property
    def hours(self) -> int:
        """The hours of a written clock beside these units: twice 12, or 24."""
        return 12 if self.units == "us" else 24

    def canner(self, number: int) -> Canner | None:
        """Return the canner of that number, if the kitchen has it."""
        return next((canner for canner in self.canners if canner.number == number), None)


def canner_names(profile: Profile) -> dict[str, int]:
    """Return the spoken names of the canners, with their numbers."""
    return {canner.name: canner.number for canner in profile.canners if canner.name}


def load_profile(home: Path) -> Profile:
    """Return the kitchen's profile; without a file, an empty one.

    Raises: BadProfile naming file, line, field and what to write.
    """
    file = home / FILE_NAME
    try:
        text = _text(file)
    except FileNotFoundError:
        return Profile()
    except UnicodeDecodeError as exc:
        line = exc.object[: exc.start].count(b"\n") + 1
        raise BadProfile(f"{file}, line {line}: this isn't UTF-8 text. Save the file as UTF-8.") from exc
    except OSError as exc:
        raise BadProfile(f"{file} can't be read: {exc.strerror}. Make it a readable file.") from exc
    except ValueError as exc:
        raise BadProfile(f"{file} {exc}. Move it out of the folder; then I ask for what I need to know.") from exc
    try:
        return _from_text(text, str(file))
    except BadProfile:
        raise
    except (RecursionError, OverflowError, ValueError) as exc:  # brackets without end, a number of thousands of digits
        raise BadProfile(f"{file} holds a value too long or too deeply nested. Write one short value a line.") from exc


def _text(file: Path) -> str:
    """Return the file's text. Raises: OSError, ValueError."""
    return read_small(file, _MAX_BYTES).decode("utf-8-sig").replace("\r\n", "\n")


def place_of(home: Path, *path: str | int) -> str:
    """Name file, line and field for an error message, such as of "canner", 0, "name"."""
    file = home / FILE_NAME
    try:
        line = line_of(_text(file), path)
    except (OSError, ValueError):
        return f"{file}, {path[-1]}"
    return f"{file}, line {line}, {path[-1]}"


def write_profile(home: Path, profile: Profile) -> None:
    """Write the whole profile afresh, with its explanatory comments, or nothing; private to its owner.

    Raises: BadProfile if a value could not be read back (nothing is written then) or the folder can't be written to.
    """
    _write(home / FILE_NAME, render(asdict(profile)), profile)


def change_profile(home: Path, before: Profile, after: Profile) -> None:
    """Write the difference between two profiles into the file, and leave its other lines and comments alone.

    Changes made to the file by hand meanwhile stay, except to the same value.
    Raises: BadProfile if the file is no longer valid, a value could not be read back, or it can't be written.
    """
    from kitchenvoice.kitchen.profile_edits import edited  # 25 ms, which a look-up doesn't wait for

    file = home / FILE_NAME
    if not file.exists():
        write_profile(home, after)
        return
    there = load_profile(home)
    changes = {each.name: getattr(after, each.name) for each in fields(Profile) if _differ(each.name, before, after)}
    wanted = _in_order(replace(there, **changes), there)
    _write(file, edited(_text(file), asdict(there), asdict(wanted)), wanted)


def _in_order(wanted: Profile, there: Profile) -> Profile:
    """Return the profile with its canners in the order of the file, new ones at the end."""
    places = {canner.number: place for place, canner in enumerate(there.canners)}
    order = sorted(wanted.canners, key=lambda canner: places.get(canner.number, len(places)))
    return replace(wanted, canners=tuple(order))


def _differ(name: str, one: Profile, other: Profile) -> bool:
    return bool(getattr(one, name) != getattr(other, name))


def _write(file: Path, text: str, profile: Profile) -> None:
    if _from_text(text, str(file)) != profile:
        raise BadProfile(
            f"The profile can't be written: a value in it isn't in its plain form. {file} was left as it was."
        )
    try:
        replace_file(file.resolve(), text.encode("utf-8"))
    except OSError as exc:
        raise BadProfile(
            f"{file} can't be written: {exc.strerror}. Make room or give the right to write there."
        ) from exc


def _from_text(text: str, file: str) -> Profile:
    values = parse(text, file)
    canners = tuple(Canner(**canner) for canner in values.pop("canners"))
    return Profile(canners=canners, **values)
