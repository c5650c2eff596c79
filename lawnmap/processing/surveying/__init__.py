"""What a survey says of moss and thatch, and two surveys compared."""
