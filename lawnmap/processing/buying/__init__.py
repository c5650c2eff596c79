"""What is needed of each product: totals, packs, loads, cost and quote."""
