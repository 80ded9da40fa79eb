"""Steps of the records, up and down, as a test asks for them."""

from resale.storage.db.database import migration_config


def go(engine, order, step):
    config = migration_config()
    with engine.execution_options(writes=True).begin() as open_one:
        config.attributes["connection"] = open_one
        order(config, step)
