"""Hours of direct sun on points of ground: arrays in, arrays out."""
