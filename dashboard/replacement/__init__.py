"""The page on when to replace: its words, figures, tables and sections."""
