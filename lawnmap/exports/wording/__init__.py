"""Figures, rows and reasons of a plan as people read them."""
