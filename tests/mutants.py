"""Which small faults would no test notice?

`python -m tests.mutants [PATH …] [--seed N] [--most N] [--minutes M]` plants faults one by one into
a copy of the project (the files here are never touched), runs the tests that belong to the file,
and prints what survives as `file:line: change`. A survivor guards nothing, or a test is missing.
Without a path it takes every file that the table below names.
"""

import argparse
import ast
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
PARTS = (
    "procedures",
    "quizzes",
    "training",
    "tests",
    "fixtures",
    "manage.py",
    "pyproject.toml",
    "README.md",
    "DEVELOPERS.md",
)

# Which tests belong to a file: the row with the longest beginning of its path counts.
TESTS = {
    "procedures/": "tests/procedures",
    "procedures/access.py": "tests/procedures/test_access.py",
    "procedures/actions/": "tests/procedures/test_release.py tests/procedures/test_desk.py "
    "tests/procedures/test_rules.py",
    "procedures/pictures/": "tests/procedures/test_pictures.py tests/procedures/test_uploads.py",
    "procedures/rehearsal/": "tests/procedures/test_rehearse.py tests/procedures/test_variants.py "
    "tests/procedures/test_judge_agrees.py",
    "procedures/rehearsal/orders.py": "tests/procedures/test_orders.py "
    "tests/procedures/test_state.py",
    "procedures/rehearsal/plan.py": "tests/procedures/test_rehearse.py "
    "tests/procedures/test_demands.py tests/procedures/test_judge_agrees.py",
    "procedures/rehearsal/state.py": "tests/procedures/test_state.py "
    "tests/procedures/test_rehearse.py "
    "tests/procedures/test_orders.py",
    "procedures/writeup/": "tests/procedures/test_parse.py tests/procedures/test_render.py "
    "tests/procedures/test_amounts.py tests/procedures/test_diff.py",
    "procedures/writeup/proof/": "tests/procedures/test_proof_rules.py "
    "tests/procedures/test_proof.py",
    "quizzes/": "tests/quizzes",
    "quizzes/access.py": "tests/quizzes/test_guards.py tests/quizzes/test_nothing_given_away.py",
    "quizzes/actions/sittings.py": "tests/quizzes/test_sittings.py tests/quizzes/test_guards.py "
    "tests/quizzes/test_nothing_given_away.py",
    "quizzes/models/": "tests/quizzes/test_guards.py tests/quizzes/test_sealed.py "
    "tests/quizzes/test_reviewing.py",
    "quizzes/records/retry.py": "tests/quizzes/test_quiz_rules.py "
    "tests/quizzes/test_nothing_given_away.py",
    "quizzes/marking/": "tests/quizzes/test_marks.py tests/quizzes/test_question_texts.py "
    "tests/quizzes/test_draws.py tests/quizzes/test_advice.py",
    "quizzes/psychometrics/": "tests/quizzes/test_guards.py "
    "tests/quizzes/test_psychometrics_items.py "
    "tests/quizzes/test_psychometrics_odds.py tests/quizzes/test_psychometrics_rasch.py "
    "tests/quizzes/test_psychometrics_agreement.py",
    "training/": "tests/training",
    "training/actions/people.py": "tests/training/test_people.py",
    "training/actions/signing.py": "tests/training/test_sign_off.py",
    "training/actions/voids.py": "tests/training/test_voids.py",
    "training/actions/entries.py": "tests/training/test_entries.py",
    "training/records/book/": "tests/training/test_book.py tests/training/test_book_out.py "
    "tests/training/test_record_book.py",
    "training/cover/": "tests/training/test_cover.py",
    "training/cover/plan.py": "tests/training/test_plan.py tests/training/test_plan_promise.py",
    "training/cover/days.py": "tests/training/test_plan_promise.py",
    "training/cover/effect.py": "tests/training/test_plan.py tests/training/test_plan_promise.py",
    "training/cover/options.py": "tests/training/test_plan_tasks.py "
    "tests/training/test_plan_promise.py",
    "training/cover/programme.py": "tests/training/test_plan.py "
    "tests/training/test_plan_promise.py",
    "training/cover/promise.py": "tests/training/test_plan_tasks.py "
    "tests/training/test_plan_promise.py",
    "training/cover/tasks.py": "tests/training/test_plan_tasks.py",
    "training/cover/columns.py": "tests/training/test_plan.py",
    "training/cover/pace.py": "tests/training/test_pace.py",
    "training/cover/release.py": "tests/training/test_impact.py",
    "training/exchange/": "tests/training/test_bring.py tests/training/test_bring_guards.py "
    "tests/training/test_brought_as_it_was.py tests/training/test_take.py",
    "training/exchange/backups/archive.py": "tests/training/test_backup_files.py",
    "training/exchange/backups/backup.py": "tests/training/test_backup_files.py "
    "tests/training/test_backup.py",
    "training/records/keeping.py": "tests/training/test_record_book.py",
    "training/standing/rings.py": "tests/training/test_standing_edges.py "
    "tests/training/test_voids.py",
    "training/standing/": "tests/training/test_standing_rules.py "
    "tests/training/test_standing_lapses.py "
    "tests/training/test_judge_agrees.py",
}

COMPARED = {
    ast.Lt: "<=",
    ast.LtE: "<",
    ast.Gt: ">=",
    ast.GtE: ">",
    ast.Eq: "!=",
    ast.NotEq: "==",
    ast.In: "not in",
    ast.NotIn: "in",
    ast.Is: "is not",
    ast.IsNot: "is",
}
COUNTED = {
    ast.Add: "-",
    ast.Sub: "+",
    ast.Mult: "+",
    ast.FloorDiv: "*",
    ast.Div: "*",
    ast.BitAnd: "|",
    ast.BitOr: "&",
}
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any"}
# what these keywords say guards those who write the code, not its answers
SHAPES = ("frozen", "slots", "strict", "kw_only")
# seconds beside four times what the clean run took, before a run counts as one that a test stopped
GRACE = 20


@dataclass(frozen=True)
class Fault:
    """One change of a text: these letters of a file become others."""

    start: int
    end: int
    line: int
    new: str

    def put_into(self, text: str) -> str:
        return text[: self.start] + self.new + text[self.end :]

    def told(self, text: str) -> str:
        old = " ".join(text[self.start : self.end].split())
        return f"{old[:70]} → {self.new[:70]}"


def faults_of(text: str) -> list[Fault]:
    """Every fault that can be planted in a module, in the order of its lines."""
    tree = ast.parse(text)
    offsets = [0]
    for line in text.splitlines(keepends=True):
        offsets.append(offsets[-1] + len(line))
    lines = text.splitlines()

    def place(line: int, column: int) -> int:
        """Columns of a syntax tree count bytes."""
        return offsets[line - 1] + len(lines[line - 1].encode()[:column].decode())

    found = []
    for node, new in _changes(tree, text):
        start, end = (
            place(node.lineno, node.col_offset),
            place(node.end_lineno, node.end_col_offset),
        )
        if text[start:end] != new:
            found.append(Fault(start, end, node.lineno, new))
    return sorted(set(found), key=lambda fault: (fault.start, fault.end, fault.new))


def _changes(tree: ast.AST, text: str) -> Iterator[tuple[ast.AST, str]]:
    shapes = {
        id(word.value)
        for word in ast.walk(tree)
        if isinstance(word, ast.keyword) and word.arg in SHAPES
    }
    for node in ast.walk(tree):
        if id(node) in shapes:
            continue
        yield from _changes_of(node, lambda part: ast.get_source_segment(text, part) or "")


def _changes_of(node: ast.AST, said) -> Iterator[tuple[ast.AST, str]]:
    match node:
        case ast.Compare(left=left, ops=[only], comparators=[right]) if type(only) in COMPARED:
            yield node, f"(({said(left)}) {COMPARED[type(only)]} ({said(right)}))"
        case ast.BoolOp(values=values, op=op):
            own, other = (" and ", " or ") if isinstance(op, ast.And) else (" or ", " and ")
            parts = [f"({said(value)})" for value in values]
            yield node, f"({other.join(parts)})"
            for left_out in range(len(parts)):
                yield node, f"({own.join(parts[:left_out] + parts[left_out + 1 :])})"
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield node, f"bool({said(operand)})"
        case ast.BinOp(left=left, op=op, right=right) if type(op) in COUNTED and not _is_type(node):
            yield node, f"(({said(left)}) {COUNTED[type(op)]} ({said(right)}))"
        case ast.Constant(value=bool() as value):
            yield node, str(not value)
        case ast.Constant(value=int() as value):
            yield node, str(value + 1)
        case ast.Name(id=name) if name in NAMES:
            yield node, NAMES[name]
        case ast.IfExp(test=test) | ast.If(test=test) | ast.While(test=test):
            yield test, "True" if not isinstance(node, ast.While) else "False"
            yield test, "False"
        case ast.comprehension(ifs=ifs):
            for test in ifs:
                yield test, "True"
        case ast.Raise():
            yield node, "pass"
        case ast.Expr(value=ast.Call()) | ast.AugAssign():
            yield node, "pass"
        case ast.Return(value=value) if value is not None and not isinstance(value, ast.Constant):
            yield node, "return None"
        case ast.Continue() | ast.Break():
            yield node, "pass"


def _is_type(node: ast.BinOp) -> bool:
    """Whether this looks like `int | None`."""
    return isinstance(node.op, ast.BitOr) and any(
        isinstance(side, ast.Constant) and side.value is None for side in (node.left, node.right)
    )


def tests_of(path: str) -> list[str]:
    """The tests that belong to a file. Raises ValueError for one that the table does not know."""
    known = [begun for begun in TESTS if path.startswith(begun)]
    return TESTS[max(known, key=len)].split()


def run(place: Path, tests: list[str], patience: float) -> bool:
    """Whether these tests pass in a copy of the project; a run that takes too long does not."""
    command = [sys.executable, "-m", "pytest", "-n0", "-q", "-x", "-p", "no:randomly", *tests]
    kept = {
        name: value
        for name, value in os.environ.items()
        if name not in ("BENCHRIGHT_HOME", "DATABASE_URL")
    }
    running = subprocess.Popen(
        command,
        cwd=place,
        env=kept | {"CI": "", "PYTHONDONTWRITEBYTECODE": "1"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        return running.wait(patience) == 0
    except subprocess.TimeoutExpired:
        return False
    finally:
        if running.poll() is None:
            os.killpg(running.pid, signal.SIGKILL)
            running.wait()


def survivors(path: str, *, seed: int, most: int, until: float) -> Iterator[str]:
    """What survives in one file, as `file:line: change`; and a last line that says how many were
    tried.
    """
    text, tests = (ROOT / path).read_text(encoding="utf-8"), tests_of(path)
    chosen = faults_of(text)
    random.Random(seed).shuffle(chosen)
    tried = lived = 0
    with tempfile.TemporaryDirectory(prefix="benchright-mutants-") as folder:
        place = copied(Path(folder))
        begun = time.monotonic()
        if not run(place, tests, 3600):
            yield f"{path}: its tests fail as it is: {' '.join(tests)}"
            return
        patience = 4 * (time.monotonic() - begun) + GRACE
        for fault in chosen[:most]:
            if time.monotonic() > until:
                break
            (place / path).write_text(fault.put_into(text), encoding="utf-8")
            tried += 1
            if run(place, tests, patience):
                lived += 1
                yield f"{path}:{fault.line}: {fault.told(text)}"
    yield f"{path}: {lived} of {tried} survived, of {len(chosen)} that can be planted (seed {seed})"


def copied(folder: Path) -> Path:
    """A copy of the project's files in this folder."""
    for part in PARTS:
        if (ROOT / part).is_dir():
            shutil.copytree(
                ROOT / part, folder / part, ignore=shutil.ignore_patterns("__pycache__")
            )
        elif (ROOT / part).exists():
            shutil.copy(ROOT / part, folder / part)
    return folder


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument(
        "paths",
        nargs="*",
        metavar="PATH",
        help="files from the top of the project, such as training/cover/plan.py",
    )
    parser.add_argument("--seed", type=int, default=1, help="which faults come first")
    parser.add_argument("--most", type=int, default=40, help="faults in each file (40)")
    parser.add_argument(
        "--minutes", type=float, default=60, help="nothing new is begun after these (60)"
    )
    given = parser.parse_args()
    until = time.monotonic() + given.minutes * 60
    for path in given.paths or [path for path in TESTS if path.endswith(".py")]:
        for line in survivors(path, seed=given.seed, most=given.most, until=until):
            print(line, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
