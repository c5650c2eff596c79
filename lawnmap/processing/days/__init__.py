"""When each step is done: waits, seasons, weather, people and machines."""
