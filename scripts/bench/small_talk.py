"""Talk not meant for the machine: everyday sentences, near misses, sentences with the wake phrase in them."""

from __future__ import annotations

from random import Random

__all__ = ["KINDS", "talk"]

_EVERYDAY = (
    "did {who} say when {she} would be home",
    "i told {who} we would bring the {thing} on {day}",
    "could you hand me the {thing} please",
    "where did you put the {thing} after {day}",
    "the {thing} is in the {place} under the {thing}",
    "i can't find my {thing} anywhere",
    "it is too hot in the {place} today",
    "we should open a window in the {place}",
    "do you want {drink} or {drink}",
    "there is more {drink} in the {place}",
    "careful that is hot",
    "mind your fingers on that edge",
    "what are you doing on {day}",
    "{who} called about the {thing} again",
    "my mother always did it the other way round",
    "let the dog out would you",
    "who left the {thing} in the {place}",
    "i think it will rain before {day}",
    "the garden needs water badly",
    "how is {who} getting on at school",
    "you look tired why don't you sit down for a while",
    "that smells wonderful",
    "i am going to the store do we need {drink}",
    "turn the radio down a little",
    "they said on the news that it will be hot until {day}",
    "remember when we did this with {who}",
    "i need a clean towel",
    "these tomatoes are not quite ripe",
    "put the scraps in the bucket for the chickens",
    "that was a good year for peaches",
    "we could use another pair of hands",
    "is that the phone",
    "somebody is at the door",
    "i will be right back",
    "my back hurts from standing all morning",
    "what day is it today",
    "when do you want to eat",
    "{who} is coming over for supper on {day}",
    "give me a minute will you",
    "i would not worry about it",
)
_NEAR_MISS = (
    "i have to start a new job on {day}",
    "the {thing} is off the hook",
    "the gauge on my car is at zero again",
    "pressure at work is terrible this week",
    "we need {number} quarts of milk for {day}",
    "stop the car at the corner",
    "stop talking about {who}",
    "the steam engine museum is open on {day}",
    "is the heat on in the {place}",
    "how long did the drive take on {day}",
    "how much did you pay for the {thing}",
    "how many people are coming on {day}",
    "that's right and {who} said so too",
    "yes it is a lovely {thing}",
    "no that is not what i meant",
    "he went back one year later",
    "go back to the {place} and get the {thing}",
    "never mind what {who} thinks",
    "the lid is on the {thing} in the {place}",
    "she weighs {number} pounds now",
    "one jar broke last year when {who} dropped it",
    "next time bring the {thing}",
    "what's next on your list",
    "cancel the paper when we go away",
    "set the table for {number} please",
    "{number} of them failed the test",
    "my lips are sealed",
    "all sealed up and ready for the mail",
    "tell me everything about {who}",
    "speak up when you talk to {who}",
    "i hear you but i do not agree",
    "got it at the store on {day}",
    "clear the table please",
    "help yourself to {drink}",
    "repeat that to {who} and see what happens",
    "why is that {thing} in the {place}",
    "done is better than perfect",
    "the jars are in the {place} behind the {thing}",
    "we lost the game on {day}",
    "start listening to your mother",
)
_BY_NAME = (
    "the kitchen voice thing is listening you know",
    "she has a voice for the kitchen and a voice for church",
    "kitchen voice is what {who} calls it",
    "my kitchen voice is getting hoarse",
    "kitchen voice how is your mother",
    "kitchen voice where did {who} put the {thing}",
    "kitchen voice the pressure at work is terrible",
    "kitchen voice tell {who} that supper is at {number}",
    "kitchen voice what is the weather on {day}",
    "kitchen voice play some music in the {place}",
    "in the kitchen voices carry",
    "the kitchen boys are at it again",
    "kitchen choice number {number} was the {thing}",
    "i was in the kitchen when {who} called",
)
KINDS = {"everyday": _EVERYDAY, "near miss": _NEAR_MISS, "by name": _BY_NAME}
"""Sentences of each kind of talk. `by name` has the wake phrase, but no command after it."""

_FILL = {
    name: tuple(words.split(", "))
    for name, words in {
        "who": "your aunt, the neighbour, uncle george, my sister, the teacher, grandmother, the doctor, those two",
        "she": "she, he, they",
        "thing": "ladder, towel, big spoon, basket, newspaper, blue bowl, scissors, wagon, apron, radio, letter, hose",
        "place": "cellar, garage, kitchen, pantry, garden, truck, barn, front room",
        "day": "monday, tuesday, wednesday, thursday, friday, saturday, sunday, the weekend, the fourth",
        "drink": "coffee, iced tea, lemonade, milk, water",
        "number": "two, three, five, six, seven, twelve, fifteen, twenty, fifty",
    }.items()
}


def talk(kind: str, random: Random) -> str:
    """Return one sentence of a kind, filled at random."""
    sentence = random.choice(KINDS[kind])
    while "{" in sentence:
        name = sentence[sentence.index("{") + 1 : sentence.index("}")]
        sentence = sentence.replace("{" + name + "}", random.choice(_FILL[name]), 1)
    return sentence
