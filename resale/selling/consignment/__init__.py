"""What a consignor is owed, and the papers that say so."""
