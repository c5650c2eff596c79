"""The interactive map: one HTML file."""
