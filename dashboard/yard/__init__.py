"""The page of the haul-out plan: its words, pictures, tables and decisions."""
