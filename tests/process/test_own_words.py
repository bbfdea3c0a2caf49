"""What is published of a food itself is said in bits that can be heard, and none of it is lost."""

from kitchenvoice.language import load_language
from kitchenvoice.process import bits
from kitchenvoice.process.load_parts import Process, Stage
from kitchenvoice.process.steps import steps_of
from kitchenvoice.reference import foods, lookup

HEARD = 42
"""Some single sentences are as long, none of the others longer than thirty five."""


def processes():
    language = load_language()
    for food in foods():
        open_ = lookup(food.id).choices
        for pack in open_.get("pack", ()):
            answer = lookup(
                food.id,
                pack=pack,
                jar=open_["jar"][0],
                method=open_["method"][0],
                gauge="dial" if open_["method"][0] == "pressure" else None,
                altitude_ft=900,
            )
            acid = answer.acid if answer.acid is not None and answer.acid.required else None
            yield Process(
                method="boiling-water",
                minutes=20,
                acid=language.in_words(acid.text) if acid else "",
                acid_in=acid.goes if acid else "jar",
                cautions=tuple(language.in_words(text) for text in answer.before_filling),
            )


def test_nothing_is_lost_and_nothing_is_too_long():
    cut = 0
    for process in processes():
        found = bits(process)
        texts = [bit.text for bit in found]
        cut += bool(found)
        assert max((len(text.split()) for text in texts), default=0) <= HEARD, texts
        mind, made = " ".join(process.cautions[1:]), " ".join(process.cautions[:1])
        wanted = mind if process.acid_in == "ferment" else f"{mind} {made}"
        assert " ".join(texts) == (wanted.strip() if found else "")
        ids = [step.id for step in steps_of(Stage.PACK, process)]
        assert [each for each in ids if each.startswith("bit_")] == [f"bit_{n}" for n in range(1, len(found) + 1)]
        assert ("made" in ids) is (process.acid_in == "ferment" and bool(made) and bool(found))
    assert cut > 50


def test_what_has_to_be_minded_is_said_before_how_it_is_made():
    for process in processes():
        said = [bit.mind for bit in bits(process)]
        assert said == sorted(said, reverse=True)


def test_what_is_short_stays_in_its_step():
    process = Process(method="pressure", minutes=25, gauge="dial", cautions=("Fill tightly.", "No salt substitute."))
    assert bits(process) == ()
    assert "bit_1" not in [step.id for step in steps_of(Stage.PACK, process)]
