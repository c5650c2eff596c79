"""What was found in a file, made zones and features of a site."""
