"""The `tideworn` command: one verb per question, plain words on the terminal.

Exit codes: 0 done; 1 the data do not allow it, and the message says what is
missing; 2 wrong use.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from analytics import __version__

INVENTED_SEED = 0
"""Seed of the sample fleet that is committed."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one verb; returns the exit code.

    Parameters
    ----------
    arguments : sequence of str, optional
        Command line without the program's name; the process's own by default.
    """
    options = _parser().parse_args(arguments)
    # Imported here so that --help and wrong use answer at once.
    from analytics.records.findings import FleetError

    try:
        verb: Callable[[argparse.Namespace], int] = options.verb
        return verb(options)
    except FleetError as error:
        return _refuse(options, error.findings)
    except KeyboardInterrupt:
        print("Stopped; nothing was written that was not complete.", file=sys.stderr)
        return 1
    except BrokenPipeError:
        # Whoever read the output has seen enough; keep the interpreter from complaining at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as error:
        stopped = FleetError.because(
            str(error.filename or "a file"),
            found=error.strerror or str(error),
            expected="a place that can be read and written",
            remedy="Check the name, the permissions and the space left on the disk.",
        )
        return _refuse(options, stopped.findings)
    except Exception as error:
        if os.environ.get("TIDEWORN_DEBUG"):
            raise
        stopped = FleetError.because(
            "tideworn",
            found=f"{type(error).__name__}: {error}",
            expected="no fault in the program",
            remedy="This is a fault of ours: please report it with what 'tideworn check' says. "
            "TIDEWORN_DEBUG=1 shows where it happened.",
        )
        return _refuse(options, stopped.findings)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="tideworn",
        description="How long the underwater gear of a fleet lasts, which boats are at risk "
        "and what the parts will cost.",
        epilog="Statistical risks are not an inspection: see the cautions in the README.",
    )
    parser.add_argument("--version", action="version", version=f"tideworn {__version__}")
    verbs = parser.add_subparsers(title="verbs", metavar="VERB", required=True)

    def add(
        name: str, run: Callable[[argparse.Namespace], int], says: str
    ) -> argparse.ArgumentParser:
        sub = verbs.add_parser(name, help=says, description=says[0].upper() + says[1:] + ".")
        sub.add_argument("folder", type=Path, metavar="FLEET_FOLDER", help="the fleet folder")
        sub.set_defaults(verb=run, json=False, out=None)
        return sub

    def answers(sub: argparse.ArgumentParser) -> argparse.ArgumentParser:
        sub.add_argument("--out", type=Path, metavar="FOLDER", help="write the files there")
        sub.add_argument("--json", action="store_true", help="one JSON document on standard output")
        sub.add_argument("--seed", type=_natural, default=0, help="source of chance (default 0)")
        return sub

    sub = add("open", _open, "the dashboard in a browser, on this machine only")
    sub.add_argument("--port", type=_natural, help="port on loopback (default: a free one)")
    sub.add_argument("--no-browser", action="store_true", help="serve without opening a browser")
    sub = add("sample", _sample, "write an invented fleet")
    sub.add_argument("--boats", type=_positive, default=60, help="how many boats (default 60)")
    sub.add_argument(
        "--seed", type=_natural, default=INVENTED_SEED, help="source of chance (default 0)"
    )
    sub.add_argument(
        "--mess",
        action="store_true",
        help="as dirty exports of three invented offices, with a key to every defect",
    )
    sub = add("map", _map, "how the exports in a folder would be read")
    sub.add_argument("--save", action="store_true", help="keep it, as mapping.toml in the folder")
    sub.add_argument("--json", action="store_true", help="one JSON document on standard output")
    sub = add("decide", _decide, "keep what a name or a word of the exports means")
    sub.add_argument("found", help="the name or word as it stands")
    sub.add_argument("read_as", help="what it is read as")
    sub.add_argument(
        "--field", default="", help="for a word: kind, position, reason, action or condition"
    )
    sub.add_argument("--by", default="", help="who decides it")
    sub.add_argument("--json", action="store_true", help="one JSON document on standard output")
    sub = add("accept", _accept, "keep that the exports were accepted as they are read now")
    sub.add_argument("--by", required=True, help="who accepts them")
    sub.add_argument("--note", default="", help="a remark that is kept with it")
    sub.add_argument("--json", action="store_true", help="one JSON document on standard output")
    answers(add("check", _check, "what was read, merged, rejected and assumed"))
    answers(add("ageing", _ageing, "how each kind of part ages"))
    sub = answers(add("season", _season, "which boats are at risk this season"))
    sub.add_argument("--season", type=_natural, metavar="YEAR", help="the season that ends in YEAR")
    sub = answers(add("replace", _replace, "at what age to renew parts that are still sound"))
    sub.add_argument("--kind", help="this kind of part only")
    sub.add_argument(
        "--seasons", type=_seasons, default=5, help="seasons that rules are compared over"
    )
    sub.add_argument(
        "--futures", type=_positive, default=2000, help="simulated futures (default 2000)"
    )
    sub = answers(add("budget", _budget, "what parts and money the coming seasons need"))
    sub.add_argument(
        "--seasons", type=_seasons, default=5, help="how many seasons (default 5, at most 15)"
    )
    sub.add_argument(
        "--futures", type=_positive, default=2000, help="simulated futures (default 2000)"
    )
    sub = answers(add("spares", _spares, "what to hold in store, and what to order by when"))
    sub.add_argument(
        "--chance",
        type=_chance,
        default=0.95,
        help="chance of not waiting for a part, from 0.5 to 0.999 (default 0.95)",
    )
    sub.add_argument(
        "--by-chance-only",
        action="store_true",
        help="hold none where the chance asks for none, whatever waiting costs",
    )
    sub = answers(add("yard", _yard, "which boat to haul out in which week, and what to do then"))
    sub.add_argument(
        "--seconds",
        type=_positive,
        default=60,
        help="time to search for a better plan, for each plan that is made (default 60)",
    )
    sub = answers(add("what-if", _what_if, "what changes bring against today's plan"))
    sub.add_argument(
        "--changes",
        type=Path,
        action="append",
        required=True,
        metavar="FILE",
        help="a TOML file with the changes; may be given several times",
    )
    return parser


def _natural(text: str) -> int:
    if not text.isdecimal():
        raise argparse.ArgumentTypeError(f"'{text}' is not a whole number of 0 or more")
    return int(text)


def _positive(text: str) -> int:
    if (number := _natural(text)) < 1:
        raise argparse.ArgumentTypeError(f"'{text}' is not a whole number of 1 or more")
    return number


def _seasons(text: str) -> int:
    if not 1 <= (number := _natural(text)) <= 15:
        raise argparse.ArgumentTypeError(f"'{text}' is not a number of seasons from 1 to 15")
    return number


def _chance(text: str) -> float:
    try:
        chance = float(text)
    except ValueError:
        chance = 0.0
    if not 0.5 <= chance <= 0.999:
        raise argparse.ArgumentTypeError(f"'{text}' is not a number from 0.5 to 0.999")
    return chance


def _refuse(options: argparse.Namespace, findings: Sequence[Any]) -> int:
    """Say what stands in the way, all of it at once; exit code 1."""
    for finding in findings:
        print(finding.sentence(), file=sys.stderr)
    if options.json:
        from dataclasses import asdict

        print(json.dumps({"error": [asdict(finding) for finding in findings]}, indent=1))
    return 1


def _open(options: argparse.Namespace) -> int:
    if not options.folder.is_dir():
        from analytics.records.reading import folder_files

        folder_files(options.folder)  # a wrong folder is said here, not in the browser
    command = [sys.executable, "-m", "dashboard.serve", str(options.folder.resolve())]
    if options.port is not None:
        command += ["--port", str(options.port)]
    if options.no_browser:
        command.append("--no-browser")
    # A program of its own: nothing here knows of pages. Where it can, it takes this one's place,
    # so that whoever ends the command ends the server.
    if os.name == "posix":
        sys.stdout.flush()
        os.execv(sys.executable, command)
    return subprocess.run(command, check=False).returncode


def _sample(options: argparse.Namespace) -> int:
    from analytics.papers.terminal import Terminal
    from analytics.records.findings import FleetError
    from analytics.sample import TARNWICK, invent_fleet, mess_of, write_fleet, write_mess

    with Terminal(quiet=False) as terminal:
        fleet = invent_fleet(TARNWICK, boats=options.boats, seed=options.seed)
        try:
            if options.mess:
                written = write_mess(mess_of(fleet), options.folder)
            else:
                written = write_fleet(fleet, options.folder)
        except ValueError as error:
            raise FleetError.because(
                str(options.folder),
                found="other files",
                expected="an empty folder or an earlier sample",
                remedy=str(error),
            ) from None
        terminal.say(
            f"{options.boats} invented boats in {options.folder}: {len(written)} files. Demo "
            "data, invented."
        )
    return 0


def _map(options: argparse.Namespace) -> int:
    from analytics import intake_verbs

    return intake_verbs.propose(options.folder, options.json, options.save)


def _decide(options: argparse.Namespace) -> int:
    from analytics import intake_verbs

    decision = intake_verbs.decision_of(options.found, options.read_as, options.field, options.by)
    return intake_verbs.decide(options.folder, options.json, decision)


def _accept(options: argparse.Namespace) -> int:
    from analytics import intake_verbs

    return intake_verbs.accept(options.folder, options.json, options.by, options.note)


def _check(options: argparse.Namespace) -> int:
    from analytics.verbs.check import check

    return check(options.folder, options.out, options.json)


def _ageing(options: argparse.Namespace) -> int:
    from analytics.verbs.ageing import ageing

    return ageing(options.folder, options.out, options.json, options.seed)


def _season(options: argparse.Namespace) -> int:
    from analytics.verbs.season import season

    return season(options.folder, options.out, options.json, options.seed, options.season)


def _replace(options: argparse.Namespace) -> int:
    from analytics.verbs.replace import replace

    return replace(
        options.folder,
        options.out,
        options.json,
        options.seed,
        options.kind,
        seasons=options.seasons,
        n_futures=options.futures,
    )


def _budget(options: argparse.Namespace) -> int:
    from analytics.verbs.budget import budget

    return budget(
        options.folder, options.out, options.json, options.seed, options.seasons, options.futures
    )


def _spares(options: argparse.Namespace) -> int:
    from analytics.verbs.spares import spares

    return spares(
        options.folder,
        options.out,
        options.json,
        options.seed,
        options.chance,
        one_where_it_pays=not options.by_chance_only,
    )


def _yard(options: argparse.Namespace) -> int:
    from analytics.verbs.yard import yard

    return yard(options.folder, options.out, options.json, options.seed, options.seconds)


def _what_if(options: argparse.Namespace) -> int:
    from analytics.verbs.what_if import what_if

    return what_if(options.folder, options.changes, options.out, options.json, options.seed)


if __name__ == "__main__":
    sys.exit(main())
