"""One module a trade operation: zones and choices to rows. See lawnmap.plugins.Treatment."""
