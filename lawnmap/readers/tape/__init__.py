"""Tape surveys as site plans."""
