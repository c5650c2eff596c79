"""Zones drawn, cut, joined, judged and rated on the marking page."""
