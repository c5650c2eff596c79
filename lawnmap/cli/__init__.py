"""The command line: one module a command, each a door and not a room."""
