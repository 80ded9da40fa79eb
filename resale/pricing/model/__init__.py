"""The regression: priors, columns, evidence, order, bands."""
