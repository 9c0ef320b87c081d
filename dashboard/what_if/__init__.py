"""The page What if: its form, words, tables and figures."""
