"""Sales and items of a chain as Parquet in a folder, and workers that read it."""
