"""What does the rehearsal tell of a short text?"""

from procedures.rehearsal.walk import rehearse
from procedures.writeup.parse import parse
from procedures.writeup.rules import read_rules

RULES = """
safe: {air chamber: air let out}
temporary: [shaft guarded, shaft in the vise]
same: [[air let out, depressurised], [depressurised, no pressure left], [seal head, end plug]]
"""
RING = "variants: {ring: [eyelet, prong]}\n"
WARNING = '\n!!! warning "Air"\n    hazard: h\n'


def text(body, header=""):
    """A text with a title, these header lines and this body; the body starts on line 4 when there
    are no header lines.
    """
    return f"---\ntitle: T\n{header}---\n{body}"


def findings(body, header="", rules=RULES, others=None):
    """All findings."""
    return rehearse(parse(text(body, header)), read_rules(rules), others=others)


def told(body, header="", rules=RULES, others=None):
    """The findings as (code, step, about), each with its smallest variant."""
    return [
        (found.code, found.step, found.about, dict(found.variant))
        for found in findings(body, header, rules, others)
    ]
