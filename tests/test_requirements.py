"""What pyproject.toml names is pinned in the files that the README installs from."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parent.parent


def names(requirements: list[str]) -> set[str]:
    found = (re.match(r"[A-Za-z0-9._-]+", one) for one in requirements)
    return {re.sub(r"[-_.]+", "-", one[0]).lower() for one in found if one}


def test_every_dependency_is_pinned() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wanted = names(project["project"]["dependencies"])
    development = names([one for one in project["dependency-groups"]["dev"] if type(one) is str])
    for file, needed in (
        ("requirements.txt", wanted),
        ("requirements-dev.txt", wanted | development),
    ):
        lines = (ROOT / file).read_text(encoding="utf-8").splitlines()
        pinned = names([line for line in lines if "==" in line and not line.startswith(" ")])
        assert needed <= pinned, needed - pinned
