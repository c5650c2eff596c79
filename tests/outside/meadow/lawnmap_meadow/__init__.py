"""What lawnmap does not bring: one reader, one treatment, one export."""
