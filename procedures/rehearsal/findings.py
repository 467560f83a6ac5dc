"""What did the rehearsal find?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from procedures.writeup.remarks import Remark

ERROR = "error"
ADVICE = "advice"


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding. `step` is None for the header and for the end; `variant` holds the fewest
    options that always show it.
    """

    code: str
    level: str
    step: str | None
    about: str
    line: int
    remark: Remark
    variant: Mapping[str, str] = field(default_factory=dict)


def blocks(findings: Iterable[Finding]) -> bool:
    """Must a release wait, because one of the findings is an error?"""
    return any(finding.level == ERROR for finding in findings)


def sort_findings(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings by line, code and what they are about."""
    return tuple(
        sorted(findings, key=lambda found: (found.line, found.code, found.about, found.step or ""))
    )
