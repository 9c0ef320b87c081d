"""What was accepted, and what has changed since."""
