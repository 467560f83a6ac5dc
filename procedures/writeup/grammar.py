"""Which fields may a step have, and how are their values parted?"""

from procedures.writeup.model import Condition
from procedures.writeup.remarks import Unreadable, remark

# Field keys whose values are names, in the order in which a step takes effect, and where the model
# keeps them.
NAMES = {
    "after": "after",
    "opens": "opens",
    "needs": "needs",
    "takes off": "takes_off",
    "scraps": "scraps",
    "fits": "fits",
    "fits new": "fits_new",
    "ends": "ends",
    "makes": "makes",
    "tool": "tools",
}
KEYS = frozenset({*NAMES, "critical", "only if", "uses", "torque", "measure", "check", "hold"})
LISTS = ("given", "leaves", "off", "leaves off")
TEXTS = ("title", "level", "interval", "follows", "released", "released_at", "asks")
HEADER = frozenset({*LISTS, *TEXTS, "variants", "never"})
ASKS = ("nothing", "read again", "answer again", "show again")


class BadCondition(Unreadable):
    """The text is no condition."""


def read_condition(text: str, line: int) -> Condition:
    """`ring = eyelet | prong` as a condition, its names as written. Raises BadCondition."""
    variant, equals, rest = text.partition("=")
    options = tuple(option.strip() for option in rest.split("|"))
    variant = variant.strip()
    if not equals or not variant or not all(options):
        raise BadCondition(remark("no-condition", text=text))
    return Condition(variant, options, line)


def split_values(value: str) -> list[str]:
    """The values between the semicolons as written, without the white space around them."""
    return [part.strip() for part in value.split(";")]
