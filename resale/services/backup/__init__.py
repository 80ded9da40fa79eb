"""Records that leave the shop, each time with a line of who took them."""
