"""What a sentence may mean for a load under pressure or at a boil: read from its words alone, on the side of doubt.

Nothing here is taken from the dialogue. The words of the program that count (its questions, its claims) are here too,
in one table each: where its wording changes, these change.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

__all__ = [
    "CLAIMS",
    "NOT_UNDERSTOOD",
    "OTHER_NUMBERS",
    "QUESTIONS",
    "TURN_OFF",
    "WARNING",
    "Said",
    "read",
    "sentences_of",
]

_WORDS = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"),
)
_NUMBERS = {word: float(number) for number, word in enumerate(_WORDS)}
_NUMBER = re.compile(rf"\b({'|'.join(_NUMBERS)})\b( and a half)?")
_OF_PRESSURE = re.compile(
    r"\b(pressure|gauge|needle|reads|it's|it (is|was)|we're at|we are at|dropped|fell|under|below)\b"
)
_OF_SOMETHING_ELSE = re.compile(r"\b(timer|jars?|minutes?|hours?|sealed|failed|packed|load|canner)\b")
_NOT = re.compile(r"\b(not|isn't|hasn't|didn't|doesn't|wasn't|never)\b")
_BELOW = re.compile(r"\b(under|below)\b")
_LOSSES = {
    "heat": r"\b(heat|burner|flame|stove|element|gas|power)\b.*\b(off|out|gone|down)\b|\bwent out\b"
    r"|\bturned (it|the heat|the burner) (off|down)\b",
    "pressure": r"\b(pressure|gauge|needle|it|it's)\b.*\b(drop|dropped|dropping|fell|falling|low|lost|below|sinking)\b"
    r"|\b(pressure|gauge|needle|it|it's) .*under (?!pressure)|\blost (the )?pressure\b|\b(opened the|is the) petcock\b",
    "weight": r"\bweight\b.*\b(stopped|quiet|(isn't|is not|not) (rocking|moving|jiggling))|\bstopped rocking\b",
    "boil": r"\b(stopped|lost|barely|isn't|not)\b.*\bboil|\bboil\b.*\b(stopped|lost|gone)\b",
}
_DENIED_LOSSES = frozenset({"heat", "pressure"})
_FAULTS = {
    "acid": r"forgot the (lemon juice|acid)|(jars|jar) (have|has) no acid",
    "numbers": r"half gallons",
    "cooling": r"water over it",
    "gauge": r"\b(gauge|needle|dial) is stuck",
    "air": r"forgot (to vent|the water)|never put the weight on|(boiled|ran) dry|weight (fell|blew|came) off",
}
"""What no gauge shows, and what isn't so any more by it: the acid in the jars, the reading, the steam without air."""
_HEDGE = re.compile(r"not (really|quite|any ?more|sure)|barely|sometimes|almost|a bit .*|i can't (see|tell)")
_STILL_UNDER = re.compile(
    r"\bhiss|\bstill under pressure|\bsteam (is|comes) (still )?(coming )?out|\block is (still )?up|\bneedle moved"
    r"|\bmisread|\b(heat|burner) is still on|\bweight is still on"
)
"""What is no zero, or tells that the one that was told may be none."""

QUESTIONS = (
    ("which", "", r"(?<!said )which load"),
    ("all", "lost", r"at any time\?"),
    ("all", "held", r"all the time, with the heat on\?"),
    ("heat", "lost", r"is the heat off\?|was it off before\?"),
    ("heat", "held", r"is the heat (still )?on\?|was the heat on"),
    ("wrong", "", r"if i heard that wrong, say no"),
    ("fine", "", r"was nothing wrong"),
    ("retake", "", r"take it back\?"),
    ("below", "lost", r"was it below|did it drop before|before the time was up\?"),
    ("below", "lost", r"(pressure drop|weight stop|lost) here\?|was it this load\?"),
    ("steam", "held", r"(is|was) the steam steady"),
    ("steady", "held", r"all the time\?|the whole time\?"),
    ("count", "", r"is the count final\?"),
    ("stuck", "held", r"all through the hold\?"),
    ("mended", "held", r"put right, from before|^has it been\?"),
    ("acid", "held", r"acid.*(say done|\?)|say done when every jar has it"),
    ("gauge", "", r"what does the gauge read"),
    ("state", "held", r"still rocking\?|still at a full boil\?|column still steady\?|is the weight rocking\?"),
    ("shut", "held", r"stayed shut"),
    ("behind", "", r"is that so\?"),
    ("gone", "held", r"was all the pressure gone before\?"),
    ("soon", "held", r"(so soon|look again|at zero).*\?"),
    ("other", "", r"\?"),
)
"""Questions of the program, the first that fits: what they are about, and what a yes to them says of the hold."""

CLAIMS = (
    (
        "full",
        r"(hold|boil|steaming) is done|\bon record(?! with it)\b|\bheld in full|(hold|boil|steaming) ended"
        r"|\btime is up\b",
    ),
    ("weight off", r"take the weight off(?! again)|or open the petcock|^weight off, lid"),
    ("open", r"take it off, and say lid|open the lid away|^lid off, away|ten minutes are up"),
    ("shelf", r"label them|^wash, label|(?<!zero )on the shelf"),
    ("rescue", r"refrigerator|freeze|reprocess|process it again|within .* hours"),
)
"""What only a load may be told that has come so far. A claim is a sentence that has none of `_NO_CLAIM`."""

_NO_CLAIM = re.compile(
    r"\bdon't\b|\bnone of\b|\bif\b|^then the time is up|^at zero\b|"
    r"\bat zero wait\b|\bclose this|\bcount and record here|then put|\?$"
)
NOT_UNDERSTOOD = re.compile(r"say that again\?|didn't get that|i don't know that one|i don't know .* i know")
TURN_OFF = re.compile(r"turn the heat off|^heat off\.")
OTHER_NUMBERS = re.compile(r"other settings|other numbers|altitude|your extension office")
WARNING = re.compile(
    r"leave the lid|leave the weight|leave (it|the canner) (alone|closed|to cool)|lid stays on|under pressure"
    r"|lid (stays )?closed|keep it closed|keep the lid|stand clear of the steam|i'm not listening"
)


@dataclass(frozen=True, slots=True)
class Said:
    """One sentence of the cook. `names` are the words by which loads were named in it, `rest` what else was said.
    `beside`: what nobody says over a zero that is one."""

    text: str
    called: bool
    names: tuple[str, ...] = ()
    rest: str = ""
    loss: str = ""
    psi: float | None = None
    below: bool = False
    zero: bool = False
    lock: bool = False
    down: bool = False
    not_zero: bool = False
    good: str = ""
    steam: str = ""
    heat_on: bool = False
    opening: bool = False
    broke: bool = False
    fault: str = ""
    hedge: bool = False
    beside: bool = False
    word: str = ""

    @property
    def of_stove(self) -> bool:
        """True if it tells something of a canner: it may be the answer to what is asked, or end it."""
        told = (
            self.loss,
            self.zero,
            self.down,
            self.not_zero,
            self.good,
            self.steam,
            self.heat_on,
            self.broke,
            self.fault,
        )
        return self.psi is not None or any(told)


@cache
def read(text: str, call: str, names: tuple[str, ...]) -> Said:
    """Read a sentence; `call` is the wake phrase, `names` all that loads are called by."""
    called = text.startswith(call)
    told = text.removeprefix(call).strip()
    found = tuple(name for name in names if re.search(rf"\b{name}\b", told))
    rest = told
    for name in found:
        rest = re.sub(rf"\b(the )?{name}\b", "", rest).strip()
    denied = bool(_NOT.search(rest))
    psi = _psi(rest)
    lock = bool(re.search(r"\block (has )?dropped|\bbutton went down", rest))
    zero = psi == 0 or lock
    fault = next((name for name, words in _FAULTS.items() if re.search(words, rest)), "")
    down = bool(re.search(r"\bpressure('s| is)? (all )?(down|gone)(?! to)", rest))
    loss = next(
        (
            name
            for name, words in _LOSSES.items()
            if re.search(words, rest) and not (denied and name in _DENIED_LOSSES) and not (name == "heat" and down)
        ),
        "",
    )
    return Said(
        text,
        called,
        found,
        rest,
        loss="" if zero or fault else loss,
        psi=None if denied else psi,
        below=bool(_BELOW.search(rest)) and not denied,
        zero=zero and not denied,
        lock=lock and not denied,
        down=down and not denied,
        not_zero=(denied and (zero or down or "zero" in rest)) or bool(_STILL_UNDER.search(rest)),
        good="" if denied or loss or fault else _good(rest),
        steam=_steam(rest, denied=denied),
        heat_on=bool(re.search(r"\b(heat|burner|stove)\b.* on$", rest)) and not denied,
        opening=bool(
            re.search(
                r"\b(open|opened|petcock|lid is off|weight off|cold water|move it|lid off|removed the lid)\b", rest
            )
        )
        and not denied,
        broke=bool(re.search(r"\bjars? (broke|cracked)", rest)),
        fault=fault,
        hedge=bool(_HEDGE.fullmatch(rest)),
        beside="moon" in rest or bool(re.search(r"\b(heat|weight) is on\b", rest)),
        word=_word(rest),
    )


def _psi(text: str) -> float | None:
    found = _NUMBER.search(text)
    if found is None or _OF_SOMETHING_ELSE.search(text):
        return None
    whole = found.group(0) == text
    if not whole and not _OF_PRESSURE.search(text):
        return None
    return _NUMBERS[found.group(1)] + (0.5 if found.group(2) else 0.0)


def _good(text: str) -> str:
    if re.search(r"\bweight\b.*\b(rocking|jiggling)", text):
        return "weight"
    return "boil" if re.search(r"\b(full|rolling) boil|\bboiling\b", text) else ""


def _steam(text: str, *, denied: bool) -> str:
    if "steam" not in text and "column" not in text:
        return ""
    return (
        "lost"
        if denied or re.search(r"\bstopped\b|\bdropped\b|\bno steady", text)
        else "steady"
        if "steady" in text
        else ""
    )


def _word(text: str) -> str:
    for word, pattern in (
        ("yes", r"yes\b.*"),
        ("no", r"no( it .*)?|that's (wrong|not right)"),
        ("both", r"both( of them)?"),
        ("scratch", r"scratch that|take that back"),
        ("cancel", r"never mind|cancel( that)?"),
        ("sleep", r"stop listening"),
        ("wake", r"start listening"),
    ):
        if re.fullmatch(pattern, text):
            return word
    return ""


@cache
def sentences_of(text: str) -> tuple[str, ...]:
    """Return the sentences of a text of the program, in small letters, those that claim something nowhere left out."""
    return tuple(part.strip() for part in re.split(r"(?<=[.?!])\s+", text.lower()) if part.strip())


@cache
def claims_in(sentence: str) -> tuple[str, ...]:
    """Return what a sentence of the program claims."""
    if _NO_CLAIM.search(sentence):
        return ()
    return tuple(name for name, words in CLAIMS if re.search(words, sentence))


@cache
def question_in(sentence: str) -> tuple[str, str] | None:
    """Return what a sentence of the program asks, if it asks, and what a yes says."""
    return next(((kind, yes) for kind, yes, words in QUESTIONS if re.search(words, sentence)), None)
