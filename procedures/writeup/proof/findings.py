"""What did the proofing find, by which rule, and must somebody answer it?"""

from collections.abc import Iterable
from dataclasses import dataclass

from procedures.writeup.proof.catalogue import CATALOGUE, HINT
from procedures.writeup.remarks import Remark

LONGEST_ABOUT = 500


@dataclass(frozen=True, slots=True)
class ProofFinding:
    """One finding. `level` is E (put right or answer), W (answer) or I (hint); `step` is None
    outside steps.

    `about` are the words that it is about: an answer holds for as long as rule, step and these
    words stay the same.
    """

    rule: str
    level: str
    step: str | None
    line: int
    about: str
    remark: Remark

    @property
    def source(self) -> str:
        """The published document behind the rule, or “common practice, no source”."""
        return CATALOGUE[self.rule].source

    @property
    def asks(self) -> bool:
        """Must it be put right, or answered with a reason, before the write-up goes on its way?"""
        return self.level != HINT

    @property
    def key(self) -> tuple[str, str, str]:
        """What an answer is kept under."""
        return self.rule, self.step or "", self.about


def finding(
    rule: str, step: str | None, line: int, about: str, said: Remark, level: str = ""
) -> ProofFinding:
    """A finding at the level of its rule, unless another level is given; the words it is about are
    cut at 500 characters.
    """
    # White space is evened out, so that a text that was wrapped anew keeps its answers.
    words = " ".join(about.split())[:LONGEST_ABOUT].strip()
    return ProofFinding(rule, level or CATALOGUE[rule].level, step, line, words, said)


def sort_proofed(found: Iterable[ProofFinding]) -> tuple[ProofFinding, ...]:
    """The findings by line and rule, one for each rule, step and words (the first in the text)."""
    kept: dict[tuple[str, str, str], ProofFinding] = {}
    for each in sorted(
        found, key=lambda one: (one.line, one.rule, one.step or "", one.about, one.remark.code)
    ):
        kept.setdefault(each.key, each)
    return tuple(kept.values())
