"""The plugin for the desktop GIS: put into a profile, taken away, and looked at."""
