"""The small picture of a site plan before it is read."""
