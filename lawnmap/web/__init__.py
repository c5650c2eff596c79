"""Pages served to the user's own browser on this machine, and to nobody else."""
