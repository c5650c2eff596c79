"""Drawings (DXF) as site plans."""
