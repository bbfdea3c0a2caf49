"""The kitchen card: the sentences of each stage, on screen and on paper."""

from kitchenvoice.card.contents import STAGE_BLOCKS, CardSection, Phrase, blocks, register

__all__ = ["STAGE_BLOCKS", "CardSection", "Phrase", "blocks", "register"]
