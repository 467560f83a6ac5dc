"""What does the proofing find in a step or a caution that stands in an otherwise faultless
write-up?
"""

from procedures.writeup.parse import parse
from procedures.writeup.proof.proofing import proof

HEADER = (
    "title: Air-spring service\nlevel: air-spring\nfollows: release-the-air\ngiven: [eye "
    "protection on, gloves on, air let out]\n"
)
INTRO = """\
This is for trying.

The words: DANGER and WARNING mean death or serious injury, CAUTION means a lesser injury,
NOTICE means damage only.

!!! warning "Air in the fork"
    hazard: Pressurised air can stay in the fork.
    harm: A part can fly out and blind you.
    avoid: Keep your face out of the line of the tube.

"""


def step(body, fields="", before=""):
    """A write-up whose last step has these fields and this body; `before` stands above it."""
    return (
        f"---\n{HEADER}---\n{INTRO}## Work\n\n{before}### The step "
        f"{{#it}}\n{fields.rstrip()}\n\n{body}\n"
    )


def caution(
    word,
    *,
    hazard="Pressurised air stays in the fork.",
    harm="",
    avoid="Keep your face away from the valve.",
    title="It",
    body="Lay the rag down.",
):
    """A write-up whose step has this caution."""
    lines = [
        f"    {key}: {value}"
        for key, value in (("hazard", hazard), ("harm", harm), ("avoid", avoid))
        if value
    ]
    return step("\n".join([f'!!! {word} "{title}"', *lines, "", body]))


def found(text):
    """Every finding."""
    return proof(parse(text), text)


def rules(text, *, hints=False):
    """The rules that have a finding, in order; hints only where they are wanted."""
    return sorted({each.rule for each in found(text) if each.asks or hints})
