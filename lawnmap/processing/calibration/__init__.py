"""Catch tests of applicators."""
