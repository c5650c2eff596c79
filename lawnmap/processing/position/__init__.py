"""A plan without a place on the earth is put there: control points and pictures."""
