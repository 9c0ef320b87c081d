"""What will happen: the risk of a season, and simulated futures."""
