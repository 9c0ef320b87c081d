"""What all offices share while the mess is made: chance, what is taken, what was planted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeVar

from analytics.sample.chance import Chance
from analytics.sample.mess.clean import Clean, CleanBoat, CleanLife, Place
from analytics.sample.mess.key import Expect, Fate, Planted
from analytics.sample.mess.pages import Line, Page

T = TypeVar("T")


@dataclass
class Spoiling:
    """The mess while it is made.

    A place that holds one defect gets no other that changes a life, so that each can be
    judged alone.
    """

    clean: Clean
    chance: Chance
    pages: list[Page] = field(default_factory=list)
    planted: list[Planted] = field(default_factory=list)
    fates: dict[int, Fate] = field(default_factory=dict)
    changed: list[dict[str, object]] = field(default_factory=list)
    extras: list[Line] = field(default_factory=list)
    listed_as: dict[str, str] = field(default_factory=dict)
    former: dict[str, tuple[str, str]] = field(default_factory=dict)
    used: set[Place] = field(default_factory=set)
    used_boats: set[str] = field(default_factory=set)

    def name(self, boat: CleanBoat) -> str:
        """The name that a boat bears in the list of the fleet."""
        return self.listed_as.get(boat.name, boat.name)

    def free(self, life: CleanLife) -> bool:
        """True where nothing else has been done to the life's place."""
        return life.place not in self.used and life.boat.name not in self.used_boats

    def pick(self, items: Iterable[T]) -> T | None:
        """One of them by chance, None where there is none."""
        found = list(items)
        return self.chance.pick(found) if found else None

    def best(self, *choices: Iterable[T]) -> T | None:
        """One by chance of the first choices that offer any."""
        return next((self.chance.pick(found) for items in choices if (found := list(items))), None)

    def take(self, *lives: CleanLife, fate: Fate | None = None) -> None:
        """Keep other defects off the places of these lives."""
        for life in lives:
            self.used.add(life.place)
            if fate:
                self.fates[life.row] = fate

    def plant(
        self,
        sort: str,
        page: Page,
        line: Line,
        column: str,
        true: str,
        expect: Expect,
        *,
        life: CleanLife | None = None,
        boat: CleanBoat | None = None,
    ) -> None:
        """Note a defect in the key."""
        of = life.boat if life else boat
        self.planted.append(
            Planted(
                sort,
                page,
                line,
                column,
                true,
                expect,
                boat=of.name if of else "",
                position=life.position if life else "",
                kind=life.kind if life else "",
            )
        )
