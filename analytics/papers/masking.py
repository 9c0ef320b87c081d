"""Names of people in remarks, masked in whatever is shown or written."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Literal, NamedTuple

MASK = "(name)"

_TITLE_WORDS = "mr mrs miss capt captain cpt skipper herr herrn frau mme mlle señor señora"
_TITLES = frozenset(_TITLE_WORDS.split())
_CAPITAL_TITLES = frozenset(("ms", "dr", "sr", "sra", "srta"))
"""Titles that are something else in small letters: a "10 ms delay"."""

_BY = frozenset(("by", "per", "with", "von", "par", "por"))
_PARTICLE_WORDS = "de da di do du del della der den van von la le el"
_PARTICLES = frozenset(_PARTICLE_WORDS.split())

_ROLE_WORDS = """
    a all an and another any as at base board both customer each hand her his in it its maker me
    my new no none not of old one our own owner owners request self some spare the their them this
    unknown us warranty we yes you your
    agent boat boatyard charterer charter client club company contractor crew diver divers
    electrician engineer engineers fitter house local marina mechanic mechanics rigger
    service shop staff surveyor team technician workshop yard
    auftrag eigner firma hersteller kunde kunden monteur taucher unbekannt werft werkstatt
    atelier chantier équipage inconnu les mécanicien nous plongeur propriétaire un une
    armador astillero buzo cliente desconocido ella los mecánico nosotros patrón taller
    tripulación una uno varadero
    mit ohne nach avec sans con sin und et y i o or na n tbc tbd nil name
"""
_THING_WORDS = """
    anode anodes bearing bearings bellows clamp clamps coupling cutless engine epoxy face gasket
    gearbox gland grease hose hoses kit lip oil packing part parts prop propeller rotor rubber seal
    seals shaft silicone spares stainless standard stern strut tape tube water zinc
    bow harbour port starboard salt sea stone sand weed rope line net growth black red green blue
    white
    january february march april may june july august september october november december
    monday tuesday wednesday thursday friday saturday sunday
    spring summer autumn winter season week month year today yesterday email phone post
    achse algen außen backbord boot dichtung fett getriebe hinten innen lager links manschette motor
    oben rechts rost schelle schlauch steuerbord stopfbuchse unten vorn wasser welle
    januar februar märz mai juni juli oktober dezember montag dienstag mittwoch donnerstag freitag
    samstag sonntag frühjahr sommer herbst
    janvier février mars avril juin juillet août septembre octobre novembre décembre
    enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre
"""
_FIRM_WORDS = """
    ag bv boats charters engineering engines gmbh group inc kg limited llc ltd marine maritime
    sa sarl services sl slu spa srl yachting yachts
"""

_ROLES = frozenset(_ROLE_WORDS.split())
"""Words that are no name where a column of persons holds them (common practice, no source)."""

_ORDINARY = _ROLES | frozenset(_THING_WORDS.split())
"""Words that are no name after "by" and the like (common practice, no source)."""

_FIRMS = frozenset(_FIRM_WORDS.split())
"""Words by which a firm's name is told from a person's (common practice, no source)."""

_BETWEEN_PEOPLE = re.compile(r"[/;&+|()\[\]\n\r\t]|(?<=\s)(?:and|und|et|y|with|mit)(?=\s)")

_WORD = re.compile(r"[^\W\d_]+|\d+")
_GAP = re.compile(r"[ \t\n.,'’\-]{1,3}")
_KEPT_GAP = re.compile(r"[\W_]{0,3}")
_NAME_GAP = re.compile(r"[ \t]{1,2}|['’\-]")
_INITIAL_GAP = re.compile(r"\.?[ \t]{0,2}|['’\-]")
_TITLE_GAP = re.compile(r"\.?[ \t]{0,3}")
_SIGNED_AFTER = ("-", "–", "/", "(", "[")
_BY_GAP = re.compile(r":?[ \t]{1,3}")
_EMAIL = re.compile(r"[^\s@<>(),;:\"\[\]]{1,64}@[^\s@<>(),;:\"\[\]]+")
_PHONE = re.compile(
    r"(?P<number>\b(?:no|nr|n[o°º]|num|pn|p/n|sn|s/n|ser|serial|part|lot|invoice|order)\b[\s.:#°º]*)?"
    r"(?<![\w.,/\-])(?:"
    r"(?:\+|00)[1-9]\d{0,2}(?:[ ./()\-]{0,3}\d){6,13}"
    r"|(?=\(?\d(?:[ /()\-]{0,3}\d){8})\(?0\d{2,5}\)?[ /\-]{0,3}\d{2,}(?:[ \-]?\d){3,9}"
    r"|0\d(?:[ .\-]\d\d){4}"
    r"|\(\d{3}\) ?\d{3}[ \-]\d{4}|\d{3}-\d{3}-\d{4}"
    r")(?!\w)",
    re.IGNORECASE,
)
_TELEPHONE = re.compile(
    r"(?<!\w)(?:tel|telephone|phone|mobile|mob|cell|call|fax|handy|móvil|tél|ring)"
    r"[.: ]{1,3}(?P<digits>\+?\d(?:[ ./()\-]{0,3}\d){4,14})(?!\w)",
    re.IGNORECASE,
)

How = Literal["any", "capital", "written", "dotted", "signed"]
"""How a name must be written to be taken for one: in any letters; each word with a capital; just
so; as initials with dots; as initials where one signs."""
_EASIEST: tuple[How, ...] = ("any", "capital", "written", "dotted", "signed")


@dataclass(frozen=True)
class _Names:
    """What to look for, by its words in small letters."""

    people: dict[tuple[str, ...], tuple[How, str]]
    keep: frozenset[tuple[str, ...]]
    longest: int
    people_begin: frozenset[str]
    keep_begins: frozenset[str]


class _Word(NamedTuple):
    start: int
    end: int
    text: str
    low: str

    @property
    def capital(self) -> bool:
        return self.text[0].isupper() or self.text[0].istitle()


def people_in(texts: Iterable[str]) -> frozenset[str]:
    """Names in the cells of columns that hold persons: fitted by, found by, by whom.

    A cell may hold several, parted by a slash, a semicolon, "and" and the like,
    and "Surname, First name". Firms, trades ("yard", "diver"), titles and whatever
    holds a digit are no names. A name all in small letters is given its capitals.
    """
    found: set[str] = set()
    for text in set(texts):
        for piece in _BETWEEN_PEOPLE.split(unicodedata.normalize("NFC", text)):
            found.update(_people_of(piece))
    return frozenset(found)


def masked(
    text: str, people: frozenset[str] = frozenset(), keep: frozenset[str] = frozenset()
) -> str:
    """A text with `MASK` in place of the names of people, of e-mail addresses and phone numbers.

    Masked are the names given: in full in any letters, turned round, with initials,
    or the surname alone where it has four letters or more and a capital. Masked
    without being known are capitalised words after a title, and up to three after
    "by", "per", "with", "von", "par" or "por" that are not ordinary words of the trade.

    What it cannot catch: a first name alone, or a surname that no column of
    persons holds, where neither title nor "by" stands before it; a name in small
    letters that is not known in full; nicknames, misspelt names, initials without
    dots in the midst of a sentence; names in scripts without capitals unless known;
    phone numbers written like none of the usual forms. It also masks a little too
    much: a product's name after "with", a German noun after "von", a known surname
    that is also the first word of a sentence ("Green hose"), a number with a
    leading zero that looks dialled. It lowers what is disclosed and is no promise
    that nobody can be made out.

    Parameters
    ----------
    text : str
    people : frozenset of str
        As `people_in` gives them.
    keep : frozenset of str
        Boats, bases and yards: never masked, unless as part of the longer name of
        a person who is known, or of an address.

    Returns
    -------
    str
        Masking it once more changes nothing.
    """
    names = _names(people, keep)
    before = text
    while (after := _masked_once(before, names)) != before:
        before = after
    return after


def _people_of(piece: str) -> Iterator[str]:
    if any(mark.isdigit() or mark == "@" for mark in piece):
        return
    parts = [part.strip(" .:-'’\"*") for part in piece.split(",")]
    if len(parts) == 2 and all(0 < len(part.split()) <= 2 for part in parts):
        # Either "Surname, First name" or two people.
        yield from _people_of(f"{parts[1]} {parts[0]}")
        parts = [part for part in parts if len(part) > 1]
    if len(parts) > 1:
        for part in parts:
            yield from _people_of(part)
        return
    words = [word for word in parts[0].split() if _is_of_name(word)]
    lows = {word.casefold().strip(".") for word in words}
    if not words or len(words) > 4 or lows & _FIRMS or not lows - _PARTICLES:
        return
    name = " ".join(words)
    if name == name.lower() or (name == name.upper() and len(name) > 3):
        name = name.title()
    if len(_split(name)) > 1 or len(name.strip(".")) > 1:
        yield name


def _is_of_name(word: str) -> bool:
    low = word.casefold().strip(".")
    return low not in _ROLES | _TITLES | _CAPITAL_TITLES and any(map(str.isalpha, low))


def _split(text: str) -> tuple[str, ...]:
    return tuple(word.casefold() for word in _WORD.findall(text))


@lru_cache(maxsize=16)
def _names(people: frozenset[str], keep: frozenset[str]) -> _Names:
    forms: dict[tuple[str, ...], tuple[How, str]] = {}
    for name in sorted(people):
        for words, how in _forms(unicodedata.normalize("NFC", name)):
            # Of two people of one form, the way that masks more.
            known = forms.get(words)
            if words and (known is None or _EASIEST.index(how) < _EASIEST.index(known[0])):
                forms[words] = how, name
    kept = frozenset(
        words for name in keep if (words := _split(unicodedata.normalize("NFC", name)))
    )
    longest = max(map(len, [*forms, *kept]), default=0)
    return _Names(
        forms,
        kept,
        longest,
        frozenset(words[0] for words in forms),
        frozenset(words[0] for words in kept),
    )


def _forms(name: str) -> Iterator[tuple[tuple[str, ...], How]]:
    """The ways in which a person is written, as words in small letters."""
    whole = _split(name)
    parts = [part for word in name.split() if (part := _split(word))]
    if len(parts) < 2:
        yield whole, "written" if len(name) <= 3 else "any" if len(whole) > 1 else "capital"
        return
    *first, surname = parts
    initials = tuple(word[0][0] for word in first if word[0] not in _PARTICLES)
    # "J. van der Berg" as well as "J. Berg".
    small = tuple(word[0] for word in first if word[0] in _PARTICLES)
    yield whole, "any"
    yield (*surname, *(word for part in first for word in part)), "any"
    for given in {initials, initials[:1]} - {()}:
        yield (*given, *surname), "capital"
        yield (*given, *small, *surname), "capital"
        yield (*surname, *given), "capital"
    letters = "".join(surname)
    if len(letters) >= 4 and letters not in _ROLES:
        yield surname, "capital"
    if initials and len(surname[0]) > 1:
        yield (*initials, surname[0][0]), "dotted"
        yield ("".join(initials) + surname[0][0],), "signed"


def _masked_once(text: str, names: _Names) -> str:
    plain = unicodedata.normalize("NFC", text)
    words = [
        _Word(found.start(), found.end(), word := found.group(), word.casefold())
        for found in _WORD.finditer(plain)
    ]
    kept = [found.span() for found in re.finditer(re.escape(MASK), plain)]
    spans = [found.span() for found in _EMAIL.finditer(plain)] if "@" in plain else []
    spans += _known(plain, words, names, kept, spans)
    if any(mark.isdigit() for mark in plain):
        numbers = [found.span() for found in _PHONE.finditer(plain) if not found["number"]]
        numbers += [found.span("digits") for found in _TELEPHONE.finditer(plain)]
        spans += [number for number in numbers if not _meets(number, kept)]
    spans += _announced(plain, words, kept)
    if not spans:
        return text
    shown, at = "", 0
    for start, end in sorted(spans):
        if end > at:
            shown += plain[at:start] + MASK if start >= at else ""
            at = end
    return shown + plain[at:]


Span = tuple[int, int]


def _known(
    text: str, words: Sequence[_Word], names: _Names, kept: list[Span], taken: Sequence[Span]
) -> list[Span]:
    """Where known people stand; where boats and places do is added to `kept`."""
    places = []
    for at, word in enumerate(words):
        if word.low not in names.keep_begins:
            continue
        for end in range(min(len(words), at + names.longest), at, -1):
            if tuple(word.low for word in words[at:end]) in names.keep and _joined(
                text, words[at:end], _KEPT_GAP
            ):
                places.append((word.start, words[end - 1].end))
                break
    found: list[Span] = []
    for at, word in enumerate(words):
        if word.low not in names.people_begin or _meets(word[:2], [*kept, *taken, *found]):
            continue
        for end in range(min(len(words), at + names.longest), at, -1):
            span = (word.start, words[end - 1].end)
            beside = [place for place in places if not _holds(span, place)]
            if _is_person(text, words, at, end, names) and not _meets(span, beside):
                found.append(span)
                break
    kept += [place for place in places if not _meets(place, [*found, *taken])]
    return found


def _is_person(text: str, words: Sequence[_Word], at: int, end: int, names: _Names) -> bool:
    here = words[at:end]
    how, name = names.people.get(tuple(word.low for word in here), ("", ""))
    if not how or not _joined(text, here, _GAP):
        return False
    announced = at > 0 and words[at - 1].low in _BY
    match how:
        case "any":
            return True
        case "capital":
            return announced or all(word.capital or word.low in _PARTICLES for word in here)
        case "written":
            return announced or here[0].text in (name, name.title())
        case "dotted":
            return all(word.capital for word in here) and text[here[0].end] == "."
        case _:
            signed = announced or text[: here[0].start].rstrip().endswith(_SIGNED_AFTER)
            return signed and here[0].text.isupper()


def _announced(text: str, words: Sequence[_Word], taken: Sequence[Span]) -> list[Span]:
    """Capitalised words after a title or a word like "by"."""
    found = []
    for at, word in enumerate(words[:-1]):
        title = _is_title(text, word)
        if not title and word.low not in _BY:
            continue
        gap = _TITLE_GAP if title else _BY_GAP
        last, end = word, at + 1
        first: int | None = None
        while end < len(words) and end - at <= 4:
            here = words[end]
            between = text[last.end : here.start]
            initial = last is not word and len(last.text) == 1 and last.capital
            fits = gap if last is word else _INITIAL_GAP if initial else _NAME_GAP
            if not fits.fullmatch(between) or not _may_be_name(here, words, end, word, first):
                break
            if _meets((here.start, here.end), taken):
                break
            first = here.start if first is None else first
            last, end = here, end + 1
        if first is not None:
            found.append((first, last.end))
    return found


def _is_title(text: str, word: _Word) -> bool:
    if word.low in _TITLES:
        return True
    if word.low in _CAPITAL_TITLES:
        return word.capital
    return word.text == "M" and text[word.end : word.end + 2] == ". "


def _may_be_name(
    here: _Word, words: Sequence[_Word], at: int, before: _Word, first: int | None
) -> bool:
    if here.low in _PARTICLES:
        # "by Jan van Berg": a small word counts where a capitalised one follows.
        return at + 1 < len(words) and words[at + 1].capital and words[at + 1].low not in _ORDINARY
    # A person may be called Green, and after a title is.
    ordinary = _ORDINARY if first is not None or before.low in _BY else _ROLES
    if not here.text.isalpha() or not here.capital or here.low in ordinary | _TITLES | _BY:
        return False
    shouted = here.text.isupper() and len(here.text) > 1
    return not (before.low == "with" and shouted and first is None)


def _joined(text: str, words: Sequence[_Word], gap: re.Pattern[str]) -> bool:
    return all(gap.fullmatch(text, one.end, other.start) for one, other in pairwise(words))


def _meets(span: Span, others: Iterable[Span]) -> bool:
    return any(span[0] < end and start < span[1] for start, end in others)


def _holds(span: Span, place: Span) -> bool:
    """True where a name goes beyond the place within it."""
    return span[0] <= place[0] and place[1] <= span[1] and span != place
