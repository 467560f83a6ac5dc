"""Is the rehearsal exact where options multiply?

24 two-way options are 16,777,216 combinations. What must come out follows from the language's
document by hand: options that do not meet show each its own finding, with just its own option,
whatever the others are.
"""

from procedures.rehearsal.cases import Cases
from procedures.rehearsal.walk import rehearse
from procedures.writeup.parse import parse
from procedures.writeup.rules import read_rules

MANY = 24
RULES = read_rules("safe: {}\ntemporary: []\nsame: []\n")


def write_up(*steps: str) -> str:
    variants = "".join(f"  v{number:02}: [a, b]\n" for number in range(MANY))
    return f"---\ntitle: Demo\nvariants:\n{variants}---\n## Work\n\n" + "\n".join(steps)


def step(name: str, *fields: str) -> str:
    return "\n".join([f"### Step {name} {{#{name}}}", *fields, "", "Do it.", ""])


def findings(*steps: str) -> list[tuple[str, str, dict[str, str]]]:
    return [
        (found.code, found.about, dict(found.variant))
        for found in rehearse(parse(write_up(*steps)), RULES)
    ]


def test_options_that_do_not_meet_show_each_its_own_finding():
    off = [
        step(f"off{n:02}", f"only if: v{n:02} = a", f"takes off: part {n:02}") for n in range(MANY)
    ]
    on = [step(f"on{n:02}", f"only if: v{n:02} = b", f"fits: part {n:02}") for n in range(MANY)]
    found = findings(*off, *on)
    assert sorted(found) == sorted(
        [("part-left-off", f"part {n:02}", {f"v{n:02}": "a"}) for n in range(MANY)]
        + [("part-already-on", f"part {n:02}", {f"v{n:02}": "b"}) for n in range(MANY)]
    )


def test_a_clean_write_up_of_24_options_is_clean():
    pairs = [
        step(f"{word}{n:02}", f"only if: v{n:02} = a", f"{field}: part {n:02}")
        for n in range(MANY)
        for word, field in (("off", "takes off"), ("on", "fits"))
    ]
    assert findings(*pairs) == []


def test_24_options_that_all_meet_in_one_fact_are_still_exact():
    """The fact is lacking only where no option makes it: the one combination of all 24 second
    options.
    """
    makers = [step(f"m{n:02}", f"only if: v{n:02} = a", "makes: dry") for n in range(MANY)]
    assert findings(*makers, step("last", "needs: dry")) == [
        ("need-not-met", "dry", {f"v{n:02}": "b" for n in range(MANY)})
    ]


def test_24_options_that_all_meet_in_one_part_are_still_exact():
    """Each option takes the part off: the second that does finds it off, so any two first options
    show it; the least are the first two.
    """
    takers = [step(f"t{n:02}", f"only if: v{n:02} = a", "takes off: seal") for n in range(3)]
    found = findings(
        *takers,
        step("f", "fits: seal"),
        *[step(f"x{n}", f"only if: v{n:02} = a", f"makes: f{n}") for n in range(3, MANY)],
    )
    assert ("part-not-on", "seal", {"v00": "a", "v01": "a"}) in found
    assert ("part-already-on", "seal", {"v00": "b", "v01": "b", "v02": "b"}) in found


def test_the_work_grows_with_what_meets_and_not_with_the_combinations(monkeypatch):
    """Counted, not timed: nodes made for 24 options that do not meet stay near 24, where all
    combinations are 2**24.
    """
    made: list[int] = []
    node = Cases._node
    monkeypatch.setattr(Cases, "_node", lambda self, *args: (made.append(1), node(self, *args))[1])
    findings(
        *[
            step(f"off{n:02}", f"only if: v{n:02} = a", f"takes off: part {n:02}")
            for n in range(MANY)
        ]
    )
    assert len(made) < 100 * MANY
