"""Spoken names: one food, a question, a refusal by name, or nothing."""

from pathlib import Path

import pytest

from kitchenvoice.reference import find_food, food_name, foods, lookup, spoken_names
from kitchenvoice.reference.library import product, product_ids, raw
from kitchenvoice.reference.names import refused_entry, typed_names

TYPED_ONLY = {
    "piccalilli",
    "chayote and jicama slaw",
    "chayote and pear relish",
    "bread and butter jicama",
    "jicama relish",
}
"""Names with a word that the speech model lacks: it hears another spelling of each."""
MODEL = Path(__file__).parents[2] / "models" / "vosk-model-small-en-us-0.15"


@pytest.mark.parametrize(
    ("said", "food"),
    [
        ("snap_beans", "snap_beans"),
        ("green beans", "snap_beans"),
        ("Snap Beans", "snap_beans"),
        ("string beans", "snap_beans"),
        ("wax beans", "snap_beans"),
        ("the carrots", "carrots"),
        ("my green-beans", "snap_beans"),
        ("apple sauce", "applesauce"),
        ("applesauce", "applesauce"),
        ("bone-in chicken", "chicken_bone_in"),
        ("cream style corn", "corn_cream_style"),
        ("dilly beans", "dilly_beans"),
        ("butternut squash", "pumpkin_winter_squash"),
        ("peppers", "peppers"),
        ("chicken broth", "meat_stock"),
        ("huckle berries", "berries"),
        ("green bean", "snap_beans"),
        ("slices of pear", "pears"),
        ("pear slices", "pears"),
        ("tomatoes without added liquid", "tomatoes_whole_no_liquid"),
        ("catsup, country western", "ketchup_country_western"),
        ("sugar-free pickled beets", "pickled_beets_no_sugar"),
        ("jicama pickles", "bread_butter_jicama"),
        ("tomato and tomato paste salsa", "tomato_paste_salsa"),
        ("peeled jalapeño peppers", "peppers"),
    ],
)
def test_a_name_finds_its_food(said, food):
    found = find_food(said)
    assert (found.kind, found.food) == ("food", food)


@pytest.mark.parametrize(
    ("said", "some"),
    [
        ("beans", {"snap_beans", "lima_beans", "dry_beans_plain", "dilly_beans"}),
        ("potatoes", {"potatoes_white", "potatoes_sweet"}),
        ("tomatoes", {"tomatoes_whole_water", "tomatoes_whole_juice", "tomatoes_crushed"}),
        ("whole tomatoes", {"tomatoes_whole_water", "tomatoes_whole_juice", "tomatoes_whole_no_liquid"}),
        ("chicken", {"chicken_bone_in", "chicken_boneless"}),
        ("squash", {"pumpkin_winter_squash", "summer_squash"}),
        ("corn", {"corn_whole_kernel", "corn_cream_style"}),
        ("fish", {"fish_pints", "fish_quarts"}),
        ("pickles", {"dill_pickles_quick", "bread_and_butter_pickles"}),
        ("beef", {"meat_strips_cubes", "meat_ground"}),
        ("dry beans", {"dry_beans_plain", "dry_beans_sauce"}),
        ("juice", {"tomato_juice", "apple_juice", "grape_juice"}),
        ("tomato puree", {"tomato_juice", "tomato_sauce"}),
        ("passata", {"tomato_juice", "tomato_sauce"}),
        ("baby carrots", {"carrots", "pickled_baby_carrots"}),
        ("apricot preserves", {"jam_no_pectin", "jam_jelly_pectin"}),
    ],
)
def test_a_name_of_several_foods_leads_to_a_question(said, some):
    found = find_food(said)
    assert found.kind == "ambiguous"
    assert some <= set(found.candidates)
    assert found.food is None
    answer = lookup(said)
    assert answer.status == "incomplete"
    assert answer.missing[0] == "food"
    assert answer.choices["food"] == found.candidates
    for candidate in found.candidates:
        assert food_name(candidate) in (answer.reason or "")


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ("mashed squash", "mashed"),
        ("pumpkin puree", "mashed"),
        ("pumpkin butter", "pumpkin"),
        ("zucchini", "zucchini"),
        ("summer squash", "summer squash"),
        ("pesto", "pesto"),
        ("milk", "milk"),
        ("eggs", "eggs"),
        ("noodles", "noodles"),
        ("gravy", "thickened"),
        ("wild mushrooms", "Wild"),
        ("strawberries", "Strawberries"),
        ("electric multi-cooker", "multi-cooker"),
        ("steam canner", "steam"),
        ("half-gallon jars", "Half-gallon"),
        ("metric jars", "Metric"),
        ("elderberries", "Elderberries"),
        ("white peaches", "White"),
        ("white nectarines", "White"),
        ("turkey", "turkey"),
        ("onions", "onions"),
        ("banana puree", "purees"),
        ("noodle soup", "noodles"),
        ("smoked oysters", "smoked"),
        ("blue crab", "Blue crab"),
        ("horseradish", "horseradish"),
        ("mashed butternut squash", "mashed"),
        ("acorn squash puree", "mashed"),
        ("squash butter", "mashed"),
        ("sweet potato butter", "potatoes"),
        ("pureed peas", "pureed vegetables"),
        ("puree of ground beef", "pureed"),
        ("carrots in olive oil", "in oil"),
        ("sun dried tomatoes in oil", "in oil"),
    ],
)
def test_what_has_no_process_is_refused_by_name(said, word):
    answer = lookup(said, pack="hot", jar="pint", method="pressure", gauge="dial", altitude_ft=0)
    assert answer.status == "refused"
    assert word in (answer.reason or "")
    assert answer.instead


@pytest.mark.parametrize("food", ["tuna in oil", "salmon in oil", "marinated peppers in oil", "mashed peaches"])
def test_what_may_be_packed_in_oil_or_crushed_is_not_refused_as_what_may_not(food):
    assert find_food(food).refused is None


@pytest.mark.parametrize(
    ("said", "food"),
    [
        ("tomatoes packed in tomato juice", "tomatoes_whole_juice"),
        ("whole tomatoes packed in juice", "tomatoes_whole_juice"),
        ("water packed tomatoes", "tomatoes_whole_water"),
    ],
)
def test_tomatoes_are_known_by_what_they_are_packed_in(said, food):
    assert find_food(said).food == food


def test_the_guides_own_headings_find_their_food():
    assert find_food("halved or sliced Peaches").food == "peaches"
    for food in product_ids():
        title = product(food).title
        assert {find_food(title).food, find_food(title.upper()).food} == {food}
        for heading in {block.table for block in product(food).processes}:
            assert find_food(heading).kind in ("food", "ambiguous"), heading


@pytest.mark.parametrize(
    "said",
    ["whole carrots sliced or diced", "chicken or rabbit", "beets whole cubed", "or", "for my"],
)
def test_more_or_fewer_words_than_a_heading_are_none(said):
    assert find_food(said).kind == "unknown"


@pytest.mark.parametrize(
    "said",
    ["cherry pie", "pumpkin pie", "bean butter", "apples in juice", "smoked chicken", "peppers in oil", "tomato soup"],
)
def test_another_food_of_the_same_words_is_none(said):
    assert find_food(said).kind == "unknown" or find_food(said).refused


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("cabbage for sauerkraut", "sauerkraut"),
        ("apples for apple butter", "apple butter"),
        ("tomatoes for sauce", "tomato sauce"),
        ("tomatoes for salsa", "salsa"),
        ("cucumbers for pickle relish", "pickle relish"),
        ("peaches for pie filling", "peach pie filling"),
        ("beans for soup", "bean soup"),
    ],
)
def test_what_a_food_is_for_is_meant_where_it_is_mainly_made_of_it(said, meant):
    one, other = find_food(said), find_food(meant)
    assert (one.kind, one.food, one.candidates) == (other.kind, other.food, other.candidates)


@pytest.mark.parametrize("said", ["peaches for pears", "onions for salsa", "salt for sauerkraut", "jars for peaches"])
def test_what_is_not_mainly_made_of_it_is_not_meant(said):
    assert find_food(said).kind == "unknown"


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ("elderberry syrup", "acid"),
        ("grape spread", "gelatin"),
        ("Mashed bananas", "bananas"),
        ("chili with noodles", "noodles"),
        ("pumpkin pie filling", "pumpkin"),
        ("courgettes", "withdrawn"),
        ("crowder peas", "field peas"),
        ("corn ears", "cob"),
        ("pickled garlic", "garlic"),
    ],
)
def test_what_has_no_process_is_refused_by_a_name_that_is_only_typed(typed, word):
    assert word in lookup(typed).reason
    assert typed not in spoken_names()


def test_a_heading_over_several_foods_is_asked():
    found = lookup("Peaches, Apricots, and Nectarines")
    assert (found.status, found.missing[0]) == ("incomplete", "food")
    assert found.reason.startswith("Which one: apricots, nectarines or peaches?")


def test_every_food_has_one_preferred_name_that_finds_it():
    names = [food.name for food in foods()]
    assert len(set(names)) == len(names) == len(product_ids())
    for food in foods():
        assert find_food(food.name).food == food.id
        assert find_food(food.id).food == food.id
        assert food.name in food.spoken_names or food.name in TYPED_ONLY
        assert food.spoken_names


def test_a_listed_food_uses_the_words_of_the_commands():
    listed = {food.id: food for food in foods()}
    assert listed["grape_juice"].jars == ("half-pint", "pint", "pint-and-half", "quart", "half-gallon")
    assert listed["peaches"].methods == ("boiling-water", "pressure")
    assert listed["beets"].packs == ("hot",)
    assert listed["tuna"].packs == ("see-procedure",)
    assert listed["fish_pints"].jars == ("half-pint", "twelve-ounce", "pint")
    for food in listed.values():
        for jar in food.jars:
            assert lookup(food.id, jar=jar).status == "incomplete"


def test_no_phrase_means_two_things():
    names = raw("names")
    phrases = [p for entry in names["foods"].values() for p in {entry["spoken"], *entry["also"]}]
    phrases += [p for item in (*names["varieties"], *names["groups"]) for p in item["phrases"]]
    phrases += [p for item in raw("refused") for p in {item["spoken"], *item["phrases"]}]
    assert len(phrases) == len(set(phrases))


def test_phrases_are_spelled_as_they_are_heard():
    for phrase in spoken_names():
        assert phrase == " ".join(phrase.split()).lower()
        assert all(word.isalpha() for word in phrase.split())


def test_spoken_names_lead_to_a_food_a_question_or_a_refusal():
    groups = {group["id"] for group in raw("names")["groups"]}
    table = spoken_names()
    for phrase, target in table.items():
        assert target in product_ids() or target in groups or refused_entry(target), phrase
        found = find_food(phrase)
        assert target in (found.food, found.group, found.refused)
    assert table["beans"] == "beans"
    assert table["green beans"] == "snap_beans"


@pytest.mark.parametrize("written", ["peas green", "tomatoes whole juice", "steam canner", "summer squash or zucchini"])
def test_an_id_or_a_heading_is_read_but_not_listened_for(written):
    assert written in typed_names()
    assert written not in spoken_names()


@pytest.mark.parametrize("group", raw("names")["groups"], ids=lambda group: group["id"])
def test_a_question_offers_only_what_can_be_answered_or_refused(group):
    assert len(group["candidates"]) > 1
    for candidate in group["candidates"]:
        assert candidate in product_ids() or refused_entry(candidate)
    assert set(group.get("decide", {}).get("values", {}).values()) <= set(group["candidates"])


@pytest.mark.audio
def test_every_word_is_in_the_speech_models_vocabulary():
    import vosk

    vosk.SetLogLevel(-1)
    assert MODEL.is_dir(), "the speech model is absent: fetch it with scripts/fetch_model"
    model = vosk.Model(str(MODEL))
    words = {word for phrase in spoken_names() for word in phrase.split()}
    assert sorted(word for word in words if model.vosk_model_find_word(word) < 0) == []
    assert sorted(word for word in raw("names")["typed_only_words"] if model.vosk_model_find_word(word) >= 0) == []


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("grean beans", "green beans"),
        ("carrotts", "carrots"),
        ("asparagas", "asparagus"),
        ("rasberry", "raspberries"),
        ("tomatoe", "tomatoes"),
        ("chiken", "chicken"),
        ("peeches", "peaches"),
        ("zuchini", "zucchinis"),
        ("brocoli", "broccoli"),
        ("snapbeans", "snap beans"),
        ("lima", "limas"),
        ("snap", "snap beans"),
        ("carots raw pack", "carrots"),
    ],
)
def test_a_misspelt_food_is_asked_back_and_never_answered(typed, meant):
    rest = {"pack": "hot", "jar": "pint", "method": "pressure", "gauge": "dial", "altitude_ft": 0}
    answer = lookup(typed, **rest)
    assert (answer.status, answer.food, answer.minutes, answer.psi) == ("refused", None, None, None)
    assert answer.choices["food"][0] == meant
    assert len(answer.choices["food"]) <= (1 if meant == f"{typed}s" else 3)
    assert f"Did you mean {meant}" in answer.reason
    assert answer.reason.endswith("?")
    assert find_food(meant).kind != "unknown"


@pytest.mark.parametrize("typed", ["moon rocks", "x", "qwertz", "?"])
def test_a_food_like_no_other_gets_no_suggestion(typed):
    answer = lookup(typed)
    assert answer.choices.get("food", ()) == ()
    assert "Did you mean" not in answer.reason


def test_suggestions_are_of_one_food_each():
    for typed in ("grean beens", "tomatoe", "cherrys", "potatos", "dill pickel"):
        meant = [find_food(name) for name in lookup(typed).choices["food"]]
        assert len({(m.food, m.group, m.refused) for m in meant}) == len(meant)


def test_every_name_that_is_only_typed_is_another_word_for_one_that_is_heard():
    heard, typed = spoken_names(), typed_names()
    assert not heard.keys() & typed.keys()
    for name, known in typed.items():
        one, other = find_food(name), find_food(known)
        assert (one.food, one.group, one.refused) == (other.food, other.group, other.refused), name
    for name, known in (
        ("courgettes", "summer squash"),
        ("jicama relish", "hick a ma relish"),
        ("kraut", "sauerkraut"),
    ):
        assert typed[name] == known
