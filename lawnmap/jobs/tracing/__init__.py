"""Where each number of a plan comes from: the tracers of its tables."""
