"""Turf formulas: plain numbers in, plain numbers out. No files, tables, clock or network."""
