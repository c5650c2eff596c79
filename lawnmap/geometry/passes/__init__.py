"""Pass lines: parallel bouts over a zone, the rounds along its edges, and the ground they cover."""
