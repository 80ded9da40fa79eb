"""How an item stands: one price, one tier, one route and one reason, whoever asks."""
