"""The words that go with the tables: the shop's own file and the README."""

from __future__ import annotations

from ledger import FIRST_DAY, LAST_DAY, SLOWING
from makers import EFFECT_SPREAD, NAMES
from stock import TELL_LEAN
from streams import SEED
from truth import (
    ANCHOR_LEAST,
    ANCHOR_MOST,
    EVERY_KIND,
    FURTHER_FAULT,
    MAKE_LEAST,
    MAKE_MOST,
    NOISE,
    OWN_PART,
    RISE_A_YEAR,
    SEASON_SWING,
    SHARED_PART,
    TASTE_PART,
    TASTES,
    WANDER,
    Taste,
)

from resale.garments.rulebook.rule_book import RuleBook

SHOP_NAME = "Ombrick Lane Second Rail"
SHOP_TEXT = f"""\
name = "{SHOP_NAME}"
currency = "EUR"
invented = true
note = "An invented shop: its makers, items and sales do not exist. See README.md in this folder."
"""

_README = """\
# Demonstration data: an invented shop

**Nothing here is real.** "{shop}", its {makers} makers, its items and its
sales were made by the generator in this folder with seed {seed}. The makers' names were put
together from syllables; any likeness to a real maker is chance. The prices say nothing about any
market.

| file | what it is |
|---|---|
| `sales.csv` | {sold:,} sales from {first} to {last}, oldest first |
| `items.csv` | {on_hand} items on hand, not yet priced |
| `shop.toml` | name and currency of the shop |
| `second_looks.csv` | clothes read blind by four invented people; `second_looks.py` makes it |
| `introductions.csv` | from which day two of them drilled which signs; made by the same |
| `drill_answers.csv` | what three of them answered at the Drill; `drill_answers.py` makes it |
| `truth.json` | what the generator took for true: to see how much of it the sales teach |
| `make_demo.py` | makes all of these again, byte for byte, from rule book {version} |

To make them again, with the project installed: `python demo_data/make_demo.py`. Do so after every
change to the rule book; a test compares.

## Columns

| column | in | meaning |
|---|---|---|
| `item` | both | number on the ticket, in the order of intake |
| `kind` | both | kind of the rule book: {kinds} |
| `label` | both | the maker's name, invented; empty where the label is gone or unknown |
| `size` | both | size as marked |
| {signals} columns, `{one_signal}` to `{last_signal}` | both | one \
for each signal of the rule book: the id of an option, or empty for *not \
looked at*. Findings read `none`, `hidden_2`, `seen_4`: place and extent |
| `taken_in_on`, `put_out_on`, `sold_on` | sales | dates, in this order |
| `first_ticket` | sales | price on the first ticket, EUR |
| `price` | sales | price paid, EUR, to the half euro |

A third of the `stitch_density` cells of `items.csv` hold a count over a gauge (`14 in 1.25 in`) and
half of the `fibre_shell` cells the words of the label (`Shell: 65% polyester 35% cotton; lining
100% viscose`), as a sorter may write them; both read as the option that is true.

## How a price came about

log price = log anchor + make + for every worth that applies (effect of the true option, less the
mean effect by the book's shares) + wear + label + level of the quarter + season + noise

The sum takes *every* signal, also those that the sorter did not look at. It is not the sum of the
rule book: make is paid for once, however many signs tell of it.

- **Anchors:** the book's, times {least} to {most}, by kind.
- **Effects:** the book's log effect plus a normal error of {shared} of the option's doubt; where
  several kinds share the signal, each has another error of {own} of it. On ladders and findings
  the error is on the step, and no step may turn the order round: worse never raises a price.
- **Make:** every item has a hidden quality of make. One standard deviation moves the price by the
  book's opinion, times {make_least} to {make_most}, by kind. Each tell leans on it, so that two of
  them go together by {together:.2f}; a tell has of its own only what it differs from the book.
- **Wear:** the worst fault counts in full, each further one {further} of the one before; signs in
  good order likewise. Each leans a little on a hidden quality of wear.
- **Level:** all prices rise by {rise:.0%} a year and wander by {wander:.0%} a quarter besides.
- **Labels:** normal with a standard deviation of {label}; a few labels are common, most are rare,
  and dear makers oftener have a label of high standing. Known in about 60% of items.
- **Season:** up to {season:.0%} either way, best in mid November. **Noise:** normal, standard
  deviation {noise:.2f} of log price.
- **Going together:** options stay as common as in the book. Some signals go together (short
  sleeves and no cuff, denim and twill) or stay open (no zip, plain cloth).
- **Looking:** quick and telling signals and wear are looked at most of the time, slow questions of
  make in 15 to 30% of items; some sorters hurry, and what is made well is looked at more closely.
- **Selling:** the longer a thing has hung, the slower it sells (Weibull, shape {slowing}).
- **Sold items** never have an option that the book holds back or passes on; items on hand may.

## The tastes of this shop

These depart from the book by {taste} doubts, as far as order allows. A shop's own sales should show
them; the book alone cannot.

| taste | where | which way |
|---|---|---|
{tastes}
"""


def readme(book: RuleBook, sold: int, on_hand: int) -> str:
    """Say what the data are, column by column, and how they were made."""
    signals = book.signal_ids
    return _README.format(
        shop=SHOP_NAME,
        makers=len(NAMES),
        seed=SEED,
        sold=sold,
        on_hand=on_hand,
        first=FIRST_DAY,
        last=LAST_DAY,
        version=book.version,
        kinds=", ".join(f"`{kind}`" for kind in book.kinds),
        signals=len(signals),
        one_signal=signals[0],
        last_signal=signals[-1],
        least=ANCHOR_LEAST,
        most=f"{ANCHOR_MOST:.2f}",
        shared=SHARED_PART,
        own=OWN_PART,
        label=EFFECT_SPREAD,
        season=SEASON_SWING,
        noise=NOISE,
        taste=TASTE_PART,
        make_least=MAKE_LEAST,
        make_most=MAKE_MOST,
        together=TELL_LEAN**2,
        further=FURTHER_FAULT,
        rise=RISE_A_YEAR,
        wander=WANDER,
        slowing=SLOWING,
        tastes="\n".join(_taste_row(taste) for taste in TASTES),
    )


def _taste_row(taste: Taste) -> str:
    places = ", ".join(
        f"{'every kind' if kind == EVERY_KIND else kind}: `{signal}` `{option}`"
        for kind, signal, option in taste.places
    )
    return f"| {taste.sentence} | {places} | {'dearer' if taste.sign > 0 else 'cheaper'} |"
