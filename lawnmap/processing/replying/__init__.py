"""What comes back from the field, merged with the site."""
