"""Where the work goes on the ground: strips, pass lines, loads, places for cores."""
