"""Plain numbers that are not about turf: packs, loads, hours, money."""
