"""What each simulated renewal costs: part, labour, and what a failure brings with it."""
