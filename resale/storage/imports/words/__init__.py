"""Words that shops use in their files, by what they mean here."""
