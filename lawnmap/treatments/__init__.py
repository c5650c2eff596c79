"""One module a trade operation: zones and a specification to rows. See lawnmap.plugins.Treatment."""
