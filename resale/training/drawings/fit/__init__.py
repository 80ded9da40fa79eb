"""Drills on cut: where a shoulder ends, how a sleeve sits, how cloth is shaped and how it hangs."""
