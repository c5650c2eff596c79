"""The door to what others bring: calls told by their owner, and what they give looked at."""
