"""What to do about it: consequences, limits and the parts budget."""
