"""The page of spares and orders: its words, figure and tables."""
