"""A site plan in: one module a format, bytes to features. See lawnmap.plugins.Reader."""
