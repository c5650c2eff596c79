"""The steps, a module each."""
