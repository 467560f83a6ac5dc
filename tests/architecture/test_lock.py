"""Does the lock file name what the site needs, in the pinned versions, each with its hashes?"""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
PIN = re.compile(r"^([A-Za-z0-9._-]+)(?:\[[^\]]*\])?==([^\s;\\]+)", re.MULTILINE)


def plain(name):
    return re.sub(r"[-_.]+", "-", name).lower()  # as PEP 503 compares names


def locked():
    text = (ROOT / ".deploy" / "site.lock.txt").read_text(encoding="utf-8")
    entries = re.split(r"\n(?=[a-zA-Z0-9])", text)
    return {
        plain(found[1]): (found[2], entry.count("--hash=sha256:"))
        for entry in entries
        if (found := PIN.match(entry))
    }


def test_the_lock_file_has_each_pin_and_a_hash_for_each():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = {
        plain(found[1]): found[2]
        for line in project["dependencies"]
        if "== 'win32'" not in line and (found := PIN.match(line))
    }
    there = locked()
    assert wanted.keys() <= there.keys(), "run pip-compile as the head of the lock file says"
    assert {name: there[name][0] for name in wanted} == wanted
    assert len(there) > len(wanted)  # what they need themselves is locked too
    assert all(hashes for _, hashes in there.values())


def test_the_lock_file_names_no_place_of_a_machine():
    text = (ROOT / ".deploy" / "site.lock.txt").read_text(encoding="utf-8")
    assert not re.search(r"file:|index-url|find-links|/home/|/tmp/|/opt/", text)
