"""Goes wrong in every way."""
