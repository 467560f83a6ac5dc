"""Does the computation know no Django, and does the site start without the heavy libraries?"""

import pkgutil
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

pytestmark = pytest.mark.any_database  # files only, or a place of its own on SQLite

ROOT = Path(__file__).parents[2]
PURE = (
    "procedures.writeup",
    "procedures.writeup.proof",
    "procedures.pictures",
    "procedures.records.documents",
    "procedures.rehearsal",
    "quizzes.kinds",
    "quizzes.marking",
    "quizzes.psychometrics",
    "quizzes.memory",
    "quizzes.psychometrics.charts",
    "training.standing",
    "training.records.book",
    "training.cover",
)
# Pure modules in a room that also reads files.
PURE_BESIDE = {"training.exchange.matrix": ("marks", "joining", "meaning", "shape", "understood")}
HEAVY = ("scipy", "numpy", "pint", "fsrs", "lxml", "PIL", "pypdf", "cryptography", "openpyxl")


def modules(package: str) -> list[str]:
    return [
        f"{package}.{found.name}" for found in pkgutil.iter_modules(import_module(package).__path__)
    ]


def loaded_after(statement: str) -> set[str]:
    """The top-level packages that a fresh interpreter has loaded after a statement."""
    code = (
        f"{statement}\nimport sys\nprint(' '.join({{name.partition('.')[0] for name in "
        f"sys.modules}}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    return set(done.stdout.split())


IMPORTED = """
import sys
from importlib import import_module
for told in sys.argv[1:]:
    package, *names = told.split()
    for name in names:
        import_module(name)
    if "django" in sys.modules:
        print(package)
    # forgotten again, so that each package tells for itself
    for name in [name for name in sys.modules if name.partition(".")[0] == "django"]:
        del sys.modules[name]
"""


def test_a_pure_package_loads_no_django():
    named = {package: modules(package) for package in PURE} | {
        room: [f"{room}.{name}" for name in names] for room, names in PURE_BESIDE.items()
    }
    assert all(named.values())
    told = [" ".join([package, *names]) for package, names in named.items()]
    done = subprocess.run(
        [sys.executable, "-c", IMPORTED, *told],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == []


def test_the_site_starts_without_the_heavy_libraries():
    start = (
        "import os; os.environ['DJANGO_SETTINGS_MODULE'] = 'training.site.settings'\nimport "
        "django; django.setup()\n"
    )
    loaded = loaded_after(
        start + "from django.urls import get_resolver; get_resolver().url_patterns"
    )
    assert "django" in loaded
    assert not loaded & set(HEAVY)


def test_every_package_file_is_empty_so_that_nothing_comes_along():
    filled = [
        path.relative_to(ROOT)
        for app in ("procedures", "quizzes", "training")
        for path in (ROOT / app).rglob("__init__.py")
        if path.read_text(encoding="utf-8").strip() and path.parent.name != "models"
    ]
    assert filled == []
