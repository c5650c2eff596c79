"""What is to be done with each zone: condition, causes, blades and their setting."""
