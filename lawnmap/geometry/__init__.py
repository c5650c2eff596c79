"""Shapes in, numbers or shapes out. No files, tables, clock or network."""
