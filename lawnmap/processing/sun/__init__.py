"""Hours of direct sun: where the sun stands, what stands in its way, and what each zone gets."""
