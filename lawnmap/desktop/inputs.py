"""The names of the inputs that the steps share, for scripts and models."""

ZONES, ZONE_ID, NAME, FEATURES = "ZONES", "ZONE_ID", "NAME", "FEATURES"
SITE, DEPOT, TODAY = "SITE", "DEPOT", "TODAY"
REPAIR, SKIP_BAD = "REPAIR", "SKIP_BAD"
RESULT = "RESULT"  # the zones with what was worked out
LONLAT = "EPSG:4326"  # of a site that has no layer
