"""Renovating lawns on a map: a site plan in; treatments, exact quantities and a map out."""
