"""Zones in, zones out: one module a step, in the order of the job."""
