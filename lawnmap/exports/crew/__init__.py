"""What the papers of a crew are made of: visits, their order, ticks, loads and lines to fill in."""
