"""Which column and word of a shop's own file is which of ours."""
