"""What is said of a text of which no date can be made."""

from __future__ import annotations


class DateProblem(ValueError):
    """No date can be made of a text.

    Attributes
    ----------
    expected : str
        What was looked for, or why this is none.
    remedy : str
        What the person can write in its place.
    """

    def __init__(self, expected: str, remedy: str) -> None:
        super().__init__(f"{expected}: {remedy}")
        self.expected = expected
        self.remedy = remedy
