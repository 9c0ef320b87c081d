"""Wear paths from clearance readings, and the hours left until a renew limit."""
