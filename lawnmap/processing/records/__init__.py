"""What was really done: rows of the record, what they mean, and held against the plan."""
