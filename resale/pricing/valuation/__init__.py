"""From a fitted model to one item's price and its reasons."""
