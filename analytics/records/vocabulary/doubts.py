"""Whether a text leaves a failure in doubt."""

from __future__ import annotations

from collections.abc import Sequence

from analytics.records.vocabulary.doubt_words import DOUBTS, NO_DOUBTS
from analytics.records.vocabulary.matching import Index, normal
from analytics.records.vocabulary.phrases import Found

_DOUBTS = Index({"doubt": DOUBTS, "": NO_DOUBTS})


def in_doubt(text: str, found: Sequence[Found]) -> bool:
    """Whether words of a good state or of a supposition stand in a text.

    Words inside a longer phrase of failure do not count: "has not stopped leaking".

    Parameters
    ----------
    text : str
        What somebody wrote.
    found : sequence of Found
        The phrases found in it; those that mean "failed" are looked at.

    Returns
    -------
    bool
        True where no failure in the text may be called certain.
    """
    failures = [one for one in found if one.meaning == "failed" and not one.negated]
    return any(
        doubt.entry.meaning
        and not any(
            one.start <= doubt.start
            and doubt.end <= one.end
            and one.end - one.start > doubt.end - doubt.start
            for one in failures
        )
        for doubt in _DOUBTS.matches(normal(text).split())
    )
