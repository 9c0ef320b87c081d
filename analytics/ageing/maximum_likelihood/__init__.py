"""Maximum likelihood of two-parameter families, by Newton on binned margins."""
