"""Sections of the page on ageing: what each shows, says and draws."""
