"""Many sites from one table of zones: laid out in partitions, worked, and joined."""
