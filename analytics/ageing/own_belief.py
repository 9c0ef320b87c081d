"""A belief of one's own about a kind: tried on its lives without changing any file.

The lines that would keep it in `fleet.toml` are read by the very reader of that
file, so that what is tried is what the lines will give.
"""

from __future__ import annotations

import json
import re
from dataclasses import fields, replace

from analytics.ageing.fit import Ageing, kind_ageing
from analytics.ageing.groups.lots import kind_of_group
from analytics.lives import Lives
from analytics.records.findings import Finding
from analytics.records.kinds import Kind, Prior
from analytics.records.settings import read_settings
from analytics.records.tables import as_word


def prior_lines(name: str, prior: Prior) -> str:
    """The section of `fleet.toml` that states a belief.

    Parameters
    ----------
    name : str
        The kind, as in the `kind` column.
    prior : Prior

    Returns
    -------
    str
        A header line, then a line for each key, in the order of `Prior`.
    """
    section = name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else json.dumps(name)
    lines = [f"[kinds.{section}]"]
    for one in fields(Prior):
        value = getattr(prior, one.name)
        shown = (
            f"[{', '.join(map(_number, value))}]" if isinstance(value, tuple) else _number(value)
        )
        lines.append(f"{one.name} = {shown}")
    return "\n".join(lines) + "\n"


def read_prior(name: str, lines: str) -> tuple[Prior, tuple[Finding, ...]]:
    """The belief that lines of `fleet.toml` state about a kind.

    Returns
    -------
    Prior
    tuple of Finding
        One for each value that is wrong; the default stands in for it.
    """
    settings, findings = read_settings(lines)
    return settings.kind(as_word(name)).prior, tuple(findings)


def with_prior(ageing: Ageing, lives: Lives, prior: Prior, seed: int | None = None) -> Ageing:
    """The same lives of a kind, fitted with another belief.

    Parameters
    ----------
    ageing : Ageing
        The kind as it is fitted now.
    lives : Lives
        The whole fleet.
    prior : Prior
        On the clock of `ageing.kind`; taken as it stands, whatever the group, so that
        `ageing.kind.prior` gives `ageing` again.
    seed : int, optional
        That of `ageing` where it is left out, so that what differs comes from the belief.
    """
    # Whether the records settle the family is asked anew under another belief.
    family = lives.settings.kind(ageing.kind.name).family
    kind = replace(ageing.kind, family=family, prior=prior)
    seed = ageing.seed if seed is None else seed
    again = kind_ageing(lives, ageing.table, seed, kind=kind)
    return replace(again, set_apart=ageing.set_apart)


def widened_for_lot(kind: Kind, group: str) -> bool:
    """Whether a group is believed in more widely than its kind: a lot that was found.

    Lines of `fleet.toml` cannot state the belief of such a lot alone. They would bind
    every part of the kind, and the lot's own belief would be made wider than they say.
    """
    return kind_of_group(kind, group) is not kind


def _number(value: float) -> str:
    """A number as TOML writes it, never as a whole number or in a form that it does not know."""
    return repr(float(value))
