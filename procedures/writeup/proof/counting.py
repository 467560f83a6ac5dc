"""How many words does a sentence have?

The counting rules are those of ASD-STE100 issue 9, rules 8.4 to 8.7: what stands in brackets is one
word of the outer sentence and is counted again by itself; a number with its unit, an identifier, a
quotation, a name and a hyphenated word are one word each.
"""

import re

_NUMBER = r"[-−+±]?\d+(?:[.,]\d+)*"
UNIT = (
    r"(?:N[·⋅]?m|in[·⋅-]lbf?|lbf?[·⋅-]in|ft[·⋅-]lbf?|lbf?[·⋅-]ft|kgf[·⋅-]cm|bar|psi|kPa|MPa|m[lL]|L|cm³|mm|cm|m|in|kg|g|s|min|h|d|°C|°F|K|%"
    r"|turns?|clicks?|times)"
)
_AMOUNT = re.compile(
    rf"(?<![\w.,]){_NUMBER}(?:\s?(?:±|\.\.|to|-|–)\s?{_NUMBER}(?:\s?%)?)*(?:\s?{UNIT}(?![\w·]))?(?:\s?±\s?{_NUMBER}\s?%)?(?![\w])"
)
_THREAD = re.compile(r"\bM\d+(?:[.,]\d+)?(?:\s?[x×]\s?\d+(?:[.,]\d+)?)?")
_QUOTED = re.compile(r"“[^“”]*”|\"[^\"]*\"|„[^„“”]*[“”]|‘[^‘’]*’")
_BRACKETS = re.compile(r"\(([^()]*)\)")
_NAME = re.compile(r"(?<=[a-z,;] )[A-Z][\w-]*(?: [A-Z][\w-]*)+")
_LABEL = re.compile(
    r"^\s*(?:\d+(?:\.\d+)*[.)]?\s+(?=[A-Z][a-z])|(?:DANGER|WARNING|CAUTION|NOTICE|NOTE|Note)\b\s*[:.]?\s*)"
)
_WORD_SIGN = re.compile(r"\w")


def count_words(sentence: str) -> int:
    """The number of words of the outer sentence."""
    text = _LABEL.sub("", sentence)
    # In this order: a quotation may hold brackets, and M5 x 10 looks like an amount.
    for pattern in (_QUOTED, _BRACKETS, _THREAD, _AMOUNT, _NAME):
        text = pattern.sub(" one ", text)
    return sum(1 for word in text.replace("/", " ").split() if _WORD_SIGN.search(word))


def find_bracketed(sentence: str) -> tuple[str, ...]:
    """What stands in brackets in a sentence; each is a sentence of its own."""
    return tuple(inner for inner in _BRACKETS.findall(sentence) if inner.strip())
