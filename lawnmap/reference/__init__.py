"""Published values, each with unit, source and standing; the only place a rate is written down."""
