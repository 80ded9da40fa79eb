"""Consignors: who they are, what they brought, and that they are forgotten."""
