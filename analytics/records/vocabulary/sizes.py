"""Shaft sizes as people write them. Every spelling is common practice, no source.

A size in inches stays one: 1 in is 25.4 mm, and no part for 25 mm fits it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

MM_PER_INCH = 25.4
LEAST_BARE_MM = 6.0
"""A number without a unit below this is no shaft in mm; it may be one in inches."""
LARGEST_MM = 500.0
"""Above this it is no shaft of a boat."""

_SIGNS = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_FRACTION = r"\d{1,2}/(?:2|4|8|16|32|64)(?![\d/])"
_NUMBER = rf"(?:\d{{1,2}}\s*[ .-]\s*{_FRACTION}|{_FRACTION}|\d{{1,4}}(?:[.,]\d{{1,3}})?)"
_INCH = (
    r"(?:inches|inch|ins|in(?!\s*(?:stock|hand|use|the|total|box|water|store|order|all)\b)"
    r"|zoll|pouces?|pulgadas?|pollic[ei]|duim)(?![^\W\d_])|[\"″”“]|''|’’|′′"
)
_MM = r"(?:mm|millim[^\W\d_]*|mil)(?![^\W\d_])"
_CM = r"cm(?![^\W\d_])"
_UNIT = rf"(?P<mm>{_MM})|(?P<cm>{_CM})|(?P<inch>{_INCH})"
_SIZE = re.compile(
    # Not out of the middle of a part number, a date or another fraction.
    rf"(?<![\w/.,-])(?P<number>{_NUMBER})\s*-?(?:{_UNIT})?(?![\w/])",
    re.IGNORECASE,
)
_BY = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_BEFORE = re.compile(
    r"[ø⌀]|\bd\s*=|\b(?:dia|diameter|diam|shaft|size|welle|durchmesser|arbre|diam[eè]tre|eje|"
    r"di[aá]metro|asse|as|maat)\b\.?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Size:
    """A size.

    Attributes
    ----------
    mm : float
        In millimetres, to a hundredth.
    inches : float or None
        In inches where it was written so; None for a size in millimetres.
    text : str
        One spelling for all that mean the same: "25 mm", "1 1/4 in".
    """

    mm: float
    inches: float | None
    text: str


def size_of(text: str) -> Size | None:
    """The size in a text, the first where there are several ("30 mm x 40" is a 30 mm shaft).

    A number without a unit is in mm from 6 upwards; a fraction without one is in
    inches; any other number without a unit says nothing.
    """
    for sign, fraction in _SIGNS.items():
        text = text.replace(sign, f" {fraction}")
    text = _BY.sub(" x ", _BEFORE.sub(" ", text)).strip()
    found = list(_SIZE.finditer(text))
    for i, one in enumerate(found):
        if one["mm"] or one["cm"] or one["inch"]:
            return _size(one["number"], _unit(one))
        # The unit of "1 1/4 x 2 in" stands behind the last of them.
        ahead = found[i + 1] if i + 1 < len(found) else None
        if ahead and _unit(ahead) and text[one.end() : ahead.start()].strip() == "x":
            return _size(one["number"], _unit(ahead))
    if not found:
        return None
    first, rest = found[0], _SIZE.sub("", text).replace("x", "").split()
    if rest:
        return None
    if "/" in first["number"]:
        return _size(first["number"], "inch")
    if _value(first["number"]) >= LEAST_BARE_MM and len(found) <= 2:
        return _size(first["number"], "mm")
    return None


def _unit(one: re.Match[str]) -> str:
    return next((unit for unit in ("mm", "cm", "inch") if one[unit]), "")


def _value(number: str) -> Fraction:
    whole, fraction = 0, number
    if "/" in number:
        parts = re.split(r"[ .-]+", number)
        if len(parts) > 1:
            whole, fraction = int(parts[0]), parts[-1]
        return whole + Fraction(fraction)
    return Fraction(number.replace(",", "."))


def _size(number: str, unit: str) -> Size | None:
    value = _value(number)
    if unit == "inch":
        mm = round(float(value) * MM_PER_INCH, 2)
        size = Size(mm, float(value), f"{_as_fraction(value)} in")
    else:
        mm = round(float(value) * (10 if unit == "cm" else 1), 2)
        size = Size(mm, None, f"{mm:g} mm")
    return size if 0 < mm <= LARGEST_MM else None


def _as_fraction(value: Fraction) -> str:
    """Inches as a workshop writes them; decimals where they are no 64ths."""
    if 64 % value.denominator:
        return f"{float(value):g}"
    whole, part = divmod(value, 1)
    return " ".join(str(piece) for piece in (whole, part) if piece) or "0"
