"""A paper in, bytes out: one module an output. See lawnmap.plugins.Export."""
