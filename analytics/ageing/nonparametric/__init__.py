"""What the records show without any family: curves, causes and replacements as counted."""
