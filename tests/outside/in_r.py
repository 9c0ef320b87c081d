"""Running R's survival package on a table, where it is installed (Debian: r-cran-survival)."""

import shutil
import subprocess
from pathlib import Path

import pandas as pd
import pytest


def computed_in_r(table: pd.DataFrame, script: str, folder: Path) -> pd.DataFrame:
    """What a script makes of `table`, read as `d`; it leaves its answer in `answer`.

    Skips the test, visibly, where there is no R or no survival package in it.
    """
    program = shutil.which("Rscript")
    if program is None:
        pytest.skip("R is not installed")
    (folder / "script.R").write_text(
        "if (!suppressWarnings(require(survival, quietly = TRUE))) quit(status = 77)\n"
        "options(digits = 15)\n"
        f'd <- read.csv("table.csv")\n{script}\n'
        'write.csv(answer, "answer.csv", row.names = FALSE)\n'
    )
    # R reads an empty cell in a column of numbers as missing.
    table.to_csv(folder / "table.csv", index=False)
    done = subprocess.run(
        [program, "script.R"], cwd=folder, capture_output=True, text=True, timeout=120, check=False
    )
    if done.returncode == 77:
        pytest.skip("R has no survival package")
    assert done.returncode == 0, done.stderr
    return pd.read_csv(folder / "answer.csv")
