"""A rule book of two kinds and four signals as files, small enough to learn from in a moment."""

from pathlib import Path

from resale.garments.rulebook.rule_book import RuleBook, load_rule_book

BOOK = """
version = "2026-01-01"
title = "A tiny book"
note = "All invented, for tests."
noise = 0.30
level_doubt = 0.40
departure_doubt = 0.50
[[tiers]]
id = "showpiece"
name = "Showpiece"
from_standing = 1.5
meaning = "Goes in the window."
[[tiers]]
id = "salvage"
name = "Salvage"
from_standing = 0
meaning = "Goes elsewhere."
[[zones]]
id = "front"
name = "Front"
[[warmth]]
name = "cold weather"
signal = "cloth"
options = ["thick"]
"""
SIGNAL = """
[[signal]]
id = "{id}"
name = "{name}"
zone = "front"
seconds = 5
shape = "{shape}"
about = "build"
hands = "Hold it up to the light."
see = "What there is to see."
fools = "What looks like it and is not."
source = "common practice, no source"
options = [
{options}
]
"""
OPTION = (
    '  {{id = "{0}", name = "{1}", effect = {2}, doubt = 0.2, share = {3}, reason = "Made up."}},'
)
KIND = """
[kind]
id = "{id}"
name = "{name}"
plural = "{name}s"
includes = ["any"]
anchor = {anchor}
anchor_doubt = 0.3
reason = "Made up."
zones = ["front"]
uses = [{uses}]
"""


def _signal(signal_id: str, name: str, shape: str, *options: tuple[str, str, float, float]) -> str:
    rows = "\n".join(OPTION.format(*option) for option in options)
    return SIGNAL.format(id=signal_id, name=name, shape=shape, options=rows)


CLOTH = _signal(
    "cloth", "Cloth", "choice", ("thin", "Thin", 0.9, 0.5), ("thick", "Thick", 1.1, 0.5)
)
WEAR = _signal("wear", "Wear", "ladder", ("worn", "Worn", 0.7, 0.3), ("good", "Good", 1.1, 0.7))
BUTTON = _signal(
    "button", "Button", "choice", ("plastic", "Plastic", 0.95, 0.7), ("shell", "Shell", 1.2, 0.3)
)
SOLE = _signal("sole", "Sole", "choice", ("glued", "Glued", 0.95, 0.8), ("sewn", "Sewn", 1.3, 0.2))


def tiny_rule_book(folder: Path) -> RuleBook:
    """Write the book into a folder and read it."""
    for room in ("kinds", "shared"):
        (folder / room).mkdir(parents=True)
    (folder / "book.toml").write_text(BOOK)
    (folder / "shared" / "all.toml").write_text(CLOTH + WEAR)
    both = '"cloth", "wear"'
    shirt = KIND.format(id="shirt", name="Shirt", anchor=12.0, uses=both) + BUTTON
    boot = KIND.format(id="boot", name="Boot", anchor=40.0, uses=both) + SOLE
    (folder / "kinds" / "boot.toml").write_text(boot)
    (folder / "kinds" / "shirt.toml").write_text(shirt)
    return load_rule_book(folder)
