"""What works partitions: one process, or a Dask cluster. Both are given the same task."""
