"""Which texts does the form of a write-up meet: tidy ones, odd ones, unreadable ones?"""

from hypothesis import strategies as st

WORDS = st.sampled_from(
    ["air let out", "off", "32", "a, b", "yes", "a: b", "# no remark", "ring", "“oil”", "- dash"]
)
QUOTED = WORDS.map(lambda word: "'" + word.replace("'", "''") + "'")
REMARKS = st.sampled_from(["", "", "", "  # the main one", " # see: the manual"])
LISTS = st.lists(QUOTED, min_size=1, max_size=3)


def listed(values):
    return st.sampled_from(
        [f" [{', '.join(values)}]", "".join(f"\n  - {value}" for value in values), f" {values[0]}"]
    )


def one(key):
    return st.tuples(QUOTED, REMARKS).map(lambda said: f"{key}: {said[0]}{said[1]}")


def some(key):
    return st.tuples(LISTS.flatmap(listed), REMARKS).map(lambda said: f"{key}:{said[0]}{said[1]}")


FORKS = st.lists(
    st.tuples(st.sampled_from(["ring", "bumper", "shock: kind"]), LISTS, REMARKS),
    min_size=1,
    max_size=2,
    unique_by=lambda row: row[0],
).map(
    lambda rows: (
        "variants:\n"
        + "\n".join(f"    '{name}': [{', '.join(said)}]{mark}" for name, said, mark in rows)
    )
)
ENTRIES = st.one_of(
    *map(one, ("title", "level", "interval", "follows", "unknown")),
    *map(some, ("given", "leaves", "off", "leaves off", "never")),
    FORKS,
    st.sampled_from(["# a remark", "", "level: [bad, shape]", "  # further in"]),
)
HEADERS = st.lists(ENTRIES, max_size=7).map(lambda rows: "".join(f"{row}\n" for row in rows))

FIELDS = st.sampled_from(
    [
        "needs: a; b",
        "needs: c",
        "makes: a",
        "tool: pump ;; rag",
        "critical: air; oil",
        "critical: and more",
        "no field at all",
        "after: one",
        "hold: yes",
        "check: clean | stop",
        "torque:",
    ]
)
BODIES = st.sampled_from(
    [
        "",
        "Do it.\n",
        '!!! warning "Air"\n    hazard: Air.\n    avoid: Wait.\n\n    More.\n\nDo it.',
        "!!! notice\n\tfree text\nDo it.\n\n!!! caution “Oil”\n    harm: Slips.",
        "Look:\n\n```\n### no step\n\ntool: none\n```",
        "| a | b |\n|---|---|\n\n- [[28 N·m]]\n",
        "![Cap (top)](drawing:cap)\n![Pump](drawing:pump)\n\n\nDo it.\n \n![End](drawing:end)\n",
        "![ Cap](drawing:cap)\n\nSee ![it](drawing:x).\n![Close](drawing:close)",
        '![Cap](drawing:cap)\n\n!!! notice "Oil"\n    harm: Slips.\n\n![End](drawing:end)',
        "![Only](drawing:cap)\n\n![And](drawing:pump)",
        "```\n![Code](drawing:cap)\n\n![Code](drawing:cap)",
    ]
)
STEPS = st.tuples(
    st.sampled_from(["one", "two", "three", "one"]),
    st.booleans(),
    st.lists(FIELDS, max_size=4),
    BODIES,
    st.sampled_from(["", "\n", "\n\n", "\n \n"]),
).map(
    lambda said: (
        f"### Step {said[0]}"
        + (f" {{#{said[0]}}}" if said[1] else "")
        + "\n"
        + "".join(f"{row}\n" for row in said[2])
        + (f"\n{said[3]}\n" if said[3] else "")
        + said[4]
    )
)
PHASES = st.sampled_from(["## Make ready\n", "## Work\n\nText of a phase.\n\n", "##\n"])
BODY = st.tuples(
    st.sampled_from(["", "\n", "What this is for.\n\n", '!!! danger "All"\n    harm: Bad.\n']),
    st.lists(st.one_of(STEPS, STEPS, PHASES), min_size=1, max_size=6),
).map(lambda said: said[0] + "".join(said[1]))
TEXTS = st.tuples(HEADERS, BODY, st.booleans(), st.sampled_from(["\n", "\r\n"])).map(
    lambda said: f"---\n{said[0]}---\n{said[1]}"[: None if said[2] else -1].replace("\n", said[3])
)
