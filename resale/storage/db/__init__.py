"""Tables, migrations, and the two kinds of database."""
