"""The worked example of README.md: its outputs, as the program gives them today.

`python -P tests/readme.py` writes them into the page; a test compares.
"""

from __future__ import annotations

import contextlib
import functools
import io
import re
import shutil
import tempfile
from pathlib import Path

from analytics.cli import main
from analytics.papers.cautions import CAUTIONS

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
FLEET = ROOT / "sample_fleet"

_FENCED = "<!-- output: {name} -->\n```text\n{text}```"
_BLOCK = re.compile(r"<!-- output: ([a-z ]+) -->\n```text\n(.*?)```", re.DOTALL)
_LIST = re.compile(r"(<!-- output: cautions -->\n)\n*(?:\d+\. .*\n)*\n*")


def current_page(page: str) -> str:
    """The page with every output block made anew."""
    made = outputs()
    page = _BLOCK.sub(lambda found: _FENCED.format(name=found[1], text=made[found[1]]), page)
    listed = "".join(f"{number}. {caution}\n" for number, caution in enumerate(CAUTIONS, 1))
    return _LIST.sub(lambda found: f"{found[1]}\n{listed}\n", page)


def outputs() -> dict[str, str]:
    """What the commands of the worked example print, cut to the lines that the page shows."""
    with tempfile.TemporaryDirectory() as temporary:
        together = Path(temporary) / "fleet"
        shutil.copytree(FLEET, together)
        settings = together / "fleet.toml"
        mended = settings.read_text().replace(
            "[kinds.bellows]", "[kinds.bellows]\nset_lots_apart = false"
        )
        settings.write_text(mended)
        return {
            "check": _lines(_said("check", FLEET), "Rows by file", "findings:"),
            "ageing": _table(_said("ageing", FLEET), "How each kind ages"),
            "ageing together": _table(_said("ageing", together), "How each kind ages", most=1),
            "season": _lines(_said("season", FLEET), "Season 2027", "Before it")
            + _table(_said("season", FLEET), "Boats by risk,", most=10)
            + _table(_said("season", FLEET), "Boats by risk times", most=10),
            "budget": _lines(_said("budget", FLEET), "Season 2027", "Of the spread")
            + _table(_said("budget", FLEET), "Parts budget, whole"),
            "replace": _lines(_said("replace", FLEET), "Bellows:", "One age for all bases"),
            "spares": _lines(_said("spares", FLEET), "To order for", "One store for all")
            + _table(_said("spares", FLEET), "To buy", most=8),
            "what if": _what_if(Path(temporary)),
            "yard": _table(_said("yard", FLEET), "Haul-outs", most=8)
            + _table(_said("yard", FLEET), "Beside the rules"),
            "mess": _mess(Path(temporary) / "messy"),
        }


CHANGES = re.compile(r"```toml\n(# six\.toml\n.*?)```", re.DOTALL)


def _what_if(folder: Path) -> str:
    """The changes that the page shows, beside today's plan."""
    changes = folder / "six.toml"
    found = CHANGES.search(README.read_text(encoding="utf-8"))
    assert found, "README.md shows no changes"
    changes.write_text(found[1], encoding="utf-8")
    said = _said("what-if", FLEET, "--changes", str(changes))
    return _lines(said, "Bellows at six", "Parts and labour alone")


def _mess(folder: Path) -> str:
    """The dirty exports read as a person would have them read, to the first lines of findings."""
    _said("sample", folder, "--mess")
    _said("map", folder, "--save")
    for shaft, side in (("1", "port"), ("2", "starboard")):
        _said("decide", folder, shaft, side, "--field", "position")
    said = _said("check", folder)
    together = next(line for line in said if "files and sheets read" in line)
    return together + "\n" + _table(said, "What to look at first", most=8)


@functools.cache
def _said(verb: str, folder: Path, *more: str) -> list[str]:
    output = io.StringIO()
    with contextlib.redirect_stdout(output), contextlib.redirect_stderr(io.StringIO()):
        code = main([verb, str(folder), *more])
    if code:
        raise RuntimeError(f"tideworn {verb} ended with {code}")
    return [line.rstrip() for line in output.getvalue().splitlines()]


def _lines(said: list[str], first: str, last: str) -> str:
    start = next(i for i, line in enumerate(said) if line.startswith(first))
    end = next(i for i in range(start, len(said)) if last in said[i])
    return "\n".join(said[start : end + 1]) + "\n"


def _table(said: list[str], title: str, most: int = 99) -> str:
    """A table from its title to its last border; with `most`, its first rows only."""
    start = next(i for i, line in enumerate(said) if line.startswith(title))
    end = next(i for i in range(start, len(said)) if said[i].startswith("└"))
    lines = said[start : end + 1]
    return "\n".join([*lines[: most + 4], *([] if most + 4 >= len(lines) else [lines[-1]])]) + "\n"


if __name__ == "__main__":
    README.write_text(current_page(README.read_text(encoding="utf-8")), encoding="utf-8")
