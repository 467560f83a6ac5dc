"""Which ratios does this machine reach, as the table of `tests/bench/README.md`?

`python -m tests.bench.ratios` runs each bench that has a line in the table, one after the other,
and prints the table in Markdown; with names (`saving cold_start`) those only. `--rounds` says how
many rounds each takes. On a quiet machine it takes about ten minutes with seven rounds.
"""

import argparse
import json
import os
import platform
import subprocess
import sys
import tempfile
from pathlib import Path
from urllib.parse import urlsplit

TOP = Path(__file__).parents[2]
BENCHES = {
    "signed_in_pages": (),
    "who_may_table": (),
    "standing_shop": (),
    "one_answer": (),
    "cold_start": (),
    "saving": (),
    "answer_over_http": (),
    "many_signings": ("200",),
    "item_statistics": (),
    "quiz_statistics": (),
    "rasch": (),
    "writeup_render": (),
    "plan_model": (),
}


def main(names: list[str], rounds: int) -> int:
    """0 comes back when each bench met its goals, else 1."""
    with tempfile.TemporaryDirectory() as folder:
        rows = Path(folder) / "rows"
        environment = {**os.environ, "BENCH_ROWS": str(rows), "BENCH_ROUNDS": str(rounds)}
        failed = []
        for name in names or BENCHES:
            print(f"--- {name}", flush=True)
            command = [sys.executable, "-m", f"tests.bench.{name}", *BENCHES[name]]
            if subprocess.run(command, cwd=TOP, env=environment, check=False).returncode:
                failed.append(name)
        lines = rows.read_text(encoding="utf-8").splitlines() if rows.exists() else []
    print(f"\n{machine()}; {rounds} rounds.\n")
    print("| measured | goal | reached (lowest–highest) | by work | floor and ours | rounds |")
    print("|---|---|---|---|---|---|")
    for line in lines:
        print(
            "| {name} | {goal} | {reached} | {worked} | {times} | {note} |".format(
                **json.loads(line)
            )
        )
    if failed:
        print(f"\nNot reached, or broken: {', '.join(failed)}")
    return 1 if failed else 0


def machine() -> str:
    """The kind of this machine, in words."""
    address = os.environ.get("DATABASE_URL", "")
    database = "PostgreSQL" if urlsplit(address).scheme.startswith("postgres") else "SQLite"
    return (
        f"{os.cpu_count()} cores ({platform.machine()}), Python {platform.python_version()}, "
        f"{database}"
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", choices=[*BENCHES, []])
    parser.add_argument("--rounds", type=int, default=7)
    given = parser.parse_args()
    sys.exit(main(given.names, given.rounds))
