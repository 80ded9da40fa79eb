"""The Ledger."""
