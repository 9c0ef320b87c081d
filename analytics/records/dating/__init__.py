"""Dates as people write them, read as windows of days and never as a guess."""
