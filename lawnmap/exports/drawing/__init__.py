"""Zones, features and layers as shapes on paper and screen, with their colours and signs."""
