"""OpenStreetMap XML as a site plan."""
