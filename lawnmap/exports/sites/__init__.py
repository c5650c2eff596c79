"""Papers of many sites: their map with totals, what depots buy and send out, and a day's van."""
