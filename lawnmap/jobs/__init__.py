"""Whole jobs: load, run the steps, save. The Python interface of lawnmap; no click, no HTTP."""
