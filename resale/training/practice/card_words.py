"""How a card in words asks: several wordings, and each question turned round.

Somebody who meets one sentence again and again learns the sentence. The truth stays known
whichever way it is asked.
"""

from __future__ import annotations

from random import Random

AHEAD = {
    "card_hands": (
        "{kind}, {sign}: how do you look?",
        "{kind}, {sign}: what do your hands do?",
        "Which of these shows you {sign} ({kind})?",
    ),
    "card_fools": (
        "{kind}, {sign}: what fools people here?",
        "{kind}, {sign}: what do you beware of?",
        "{kind}, {sign}: where do others go wrong?",
    ),
    "card_zone": (
        "{kind}: in which zone do you look at “{sign}”?",
        "{kind}: where is your hand when you come to “{sign}”?",
    ),
    "card_worth": ("{kind}: which of the two leaves the price higher, all else alike?",),
}

TURNED = {
    "card_hands": (
        "{kind}. “{text}” What do you look at in this way?",
        "{kind}. Somebody does this: “{text}” What is it that they enter then?",
    ),
    "card_fools": (
        "{kind}. “{text}” At which sign do you think of that?",
        "{kind}. “{text}” What does that mislead people about?",
    ),
    "card_zone": (
        "{kind}, zone “{text}”: which of these do you look at there?",
        "{kind}: which of these comes up while your hand is at “{text}”?",
    ),
    "card_worth": ("{kind}: which of the two leaves the price lower, all else alike?",),
}

TURNS = 0.5
"""How often a question is turned round."""


def turned_round(random: Random) -> bool:
    """Whether this card is asked the other way about."""
    return random.random() < TURNS


def question(random: Random, family: str, *, turned: bool, **words: str) -> str:
    """Draw a wording.

    Parameters
    ----------
    random : Random
        Chance of this card.
    family : str
        Of cards.
    turned : bool
        Whether the question is turned round.
    **words : str
        What the wording names: kind, sign, text.
    """
    return random.choice((TURNED if turned else AHEAD)[family]).format(**words)
