"""What looks across sites: sums, and what each depot buys and sends out."""
