"""What a text means in the plain layout's words: by a person's own list, else by the word lists."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from analytics.records.decided.toml_text import quoted
from analytics.records.kinds import KINDS
from analytics.records.mapping.fields import Holds
from analytics.records.mapping.meanings import BOTH, NOT_OURS, OF_THE_BOAT, meanings
from analytics.records.mapping.word_lists import LONGEST, read_word
from analytics.records.tables import REASONS, as_word
from analytics.records.vocabulary.actions import action_of
from analytics.records.vocabulary.conditions import condition_of
from analytics.records.vocabulary.kinds import kind_of
from analytics.records.vocabulary.phrases import normal
from analytics.records.vocabulary.positions import position_of
from analytics.records.vocabulary.reasons import reason_of


@dataclass(frozen=True)
class Meaning:
    """What a text means.

    Attributes
    ----------
    word : str
        Blank where it says nothing, or nothing that is known.
    says : str
        How it was read, where that is worth telling.
    problem : str
        What a person can do where it cannot be read; blank where it can.
    expected : str
        What would have been plain.
    sort : str
        Of the finding, where it is not the usual one.
    more : mapping of str to str
        What else it says: `flags` of a reason, `position` of a kind.
    """

    word: str = ""
    says: str = ""
    problem: str = ""
    expected: str = ""
    sort: str = ""
    more: Mapping[str, str] = field(default_factory=dict)


NOTHING = Meaning()


def meaning_of(holds: Holds, text: str, said: str | None = None) -> Meaning:
    """The meaning of a text in a column of some kind.

    Parameters
    ----------
    holds : str
        How the field is read, one of `fields.Holds`.
    text : str
    said : str, optional
        What a person said that it means.
    """
    if not text:
        return NOTHING
    text = text[:LONGEST]
    if said is not None:
        if said == NOT_OURS and holds == "kind":
            return Meaning(
                problem="mapping.toml says that it is none of a shaft's parts.",
                expected="a part of a shaft line",
                sort="other_kind_of_part",
            )
        # What the text says besides, such as a side or a warranty, still holds.
        more = _READERS[holds](text).more if holds in ("reason", "kind") else {}
        return Meaning("; ".join(as_word(one) for one in said.split(";")), more=more)
    if holds != "kind" and as_word(text) in (meanings(holds) or ()):
        return Meaning(as_word(text))
    reader = _READERS.get(holds)
    return reader(text) if reader else _listed(holds, text)


KIND_WORDS = (*KINDS, NOT_OURS)
"""What a text may be said to be: a kind (or several, parted by "; "), or no part of a shaft."""

_WHOLE = frozenset(
    {
        *("engine", "main engine", "engines", "motor", "hour meter", "engine hour meter", "meter"),
        *("hours", "boat", "yacht", "vessel", "whole boat", "motoren", "boot", "schiff", "moteur"),
        *("betriebsstundenzahler", "stundenzahler", "horametre", "compteur", "bateau", "motore"),
        *("contaore", "barca", "horometro", "barco", "urenteller", "schip"),
    }
)
"""What jobs are about that are about no part (common practice, no source)."""


def _say_it(field_name: str, text: str, believed: str) -> str:
    """How a person says what a text means; an answer is filled in only where there is a reason."""
    words = meanings(field_name) if field_name != "kind" else KIND_WORDS  # type: ignore[arg-type]
    if believed:
        answer = f"{quoted(text)} = {quoted(believed)}, or another of {', '.join(words or ())}"
    else:
        answer = f"{quoted(text)} is one of {', '.join(words or ())}"
    return (
        f"Say what it means, once: on the page of exports, with 'tideworn decide', or under "
        f"[sources.words.{field_name}] in mapping.toml: {answer}."
    )


def _kind(text: str) -> Meaning:
    if normal(text) in _WHOLE:
        return Meaning(OF_THE_BOAT)
    read = kind_of(text)
    position = BOTH if read.both else read.position
    more = {"position": position} if position else {}
    if read.foreign:
        return Meaning(
            problem=f"'{read.foreign}' is another part than a shaft's, and is never pooled with "
            "one. If it is one all the same: " + _say_it("kind", text, ""),
            expected="a part of a shaft line",
            sort="other_kind_of_part",
        )
    if read.kind and read.certain:
        return Meaning(read.kind, more=more)
    if not read.kind and not text.strip(" .-?"):
        return NOTHING
    perhaps = f"Read it as {read.kind}? " if read.kind else ""
    if len(read.kinds) > 1:
        several = "; ".join(read.kinds)
        return Meaning(
            problem=f"It names {len(read.kinds)} parts. " + _say_it("kind", text, several),
            expected="one part on a row",
            sort="two_parts_one_row",
            more=more,
        )
    return Meaning(
        problem=perhaps + _say_it("kind", text, read.kind),
        expected="a kind of part that is known: " + ", ".join(KINDS),
        more=more,
    )


def _position(text: str) -> Meaning:
    read = position_of(text)
    if read.position and read.certain:
        return Meaning(read.position)
    sort = "side_by_number" if read.numbered else "words_unknown"
    return Meaning(
        problem=(
            # A word decided on holds in all files, and a number means another side in each.
            "Each base counts in its own way: say for this file alone what it means, on the page "
            f"of exports, section 2, or under [sources.words.position] in mapping.toml: "
            f"{quoted(text)} is one of {', '.join(meanings('position') or ())}."
            if read.numbered
            else _say_it("position", text, read.position)
        ),
        expected="port, starboard, single or both",
        sort=sort,
    )


def _reason(text: str) -> Meaning:
    read = reason_of(text)
    if "still_in" in read.flags:
        return NOTHING
    more = {"flags": " ".join(sorted(read.flags))} if read.flags else {}
    expected = "one of " + ", ".join(REASONS)
    sort = "negated_words" if read.negated else ""
    if read.reason and read.certain:
        by = f" by '{read.phrase}'" if read.phrase else ""
        return Meaning(
            read.reason, says=f"Read as {read.reason}{by}.", expected=expected, sort=sort, more=more
        )
    if read.negated:
        return Meaning(
            says="A word of failure with a 'no' or 'not' before it: it says nothing of a failure.",
            expected=expected,
            sort=sort,
            more=more,
        )
    guess = f" It may be '{read.reason}'." if read.reason else ""
    return Meaning(
        "unknown",
        says=f"Read as unknown.{guess} " + _say_it("reason", text, read.reason),
        expected=expected,
        sort="words_unknown",
        more=more,
    )


def _action(text: str) -> Meaning:
    read = action_of(text)
    sort = "negated_words" if read.negated else "cause_in_free_text"
    if read.action and read.certain:
        says = f"Read as {read.action} by '{read.phrase}'." if read.negated else ""
        return Meaning(read.action, says=says, expected="what was done", sort=sort)
    perhaps = f"Read it as {read.action}? " if read.action else ""
    return Meaning(
        problem=perhaps + _say_it("action", text, read.action),
        expected="what was done: " + ", ".join(meanings("action") or ()),
    )


def _condition(text: str) -> Meaning:
    read = condition_of(text)
    sort = "negated_words" if read.negated else "cause_in_free_text"
    expected = "one of " + ", ".join(meanings("condition") or ())
    if read.condition and read.certain:
        return Meaning(
            read.condition,
            says=f"Read as {read.condition} by '{read.phrase}'.",
            expected=expected,
            sort=sort,
        )
    return Meaning(
        says="Read as nothing said of its condition. " + _say_it("condition", text, read.condition),
        expected=expected,
        sort="words_unknown",
    )


def _listed(holds: Holds, text: str) -> Meaning:
    read = read_word(holds, text)
    if read.read_as:
        says = "" if read.certain else f"Read as {read.read_as}."
        return Meaning(read.read_as, says=says, expected="one word of the list")
    return Meaning(
        says="Read as blank. " + _say_it(holds, text, ""),
        expected="one of " + ", ".join(meanings(holds) or ()),
        sort="words_unknown",
    )


_READERS: Mapping[Holds, Callable[[str], Meaning]] = {
    "kind": _kind,
    "position": _position,
    "reason": _reason,
    "action": _action,
    "condition": _condition,
}
