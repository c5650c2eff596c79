"""Pictures of plans: scans, GeoTIFF, pages of a PDF."""
