"""Iron: which card, where in the order, how often, and what has to hold."""
