"""What is said to somebody whose order of steps goes wrong?

The rehearsal speaks to the author of a write-up; these sentences speak to the one who put the steps
in order.
"""

from __future__ import annotations

from collections.abc import Mapping

from procedures.rehearsal.findings import Finding

SAYS = {
    "need-not-met": "“{step}”: “{about}” does not hold then.",
    "never-made": "“{step}”: “{about}” does not hold then.",
    "demand-not-met": "“{step}”: “{about}” must hold first.",
    "opens-unsafe": "“{step}”: this opens the {about} while it is not safe.",
    "part-not-on": "“{step}”: the {about} is not on the fork then.",
    "part-already-on": "“{step}”: the {about} is on the fork already.",
    "part-was-scrapped": "“{step}”: the {about} was thrown away before.",
    "old-part-still-there": "“{step}”: the old {about} is still there.",
    "made-twice": "“{step}”: “{about}” holds already.",
    "ends-nothing": "“{step}”: “{about}” does not hold then, so it can’t end.",
    "out-of-order": "“{step}” comes only after “{other}”.",
    "part-left-off": "At the end the {about} is not back on the fork.",
    "part-not-replaced": "At the end no new {about} is on the fork.",
    "guard-left": "At the end “{about}” still holds.",
    "leaves-not-met": "At the end “{about}” is not as it must be.",
}


def told(error: Finding, titles: Mapping[str, str]) -> str:
    """One error of a rehearsal as a sentence; a kind that no order can cause keeps the rehearsal's
    own words.
    """
    words = SAYS.get(error.code)
    if words is None:
        return error.message
    step = error.step or ""
    return words.format(
        step=titles.get(step, step), about=error.about, other=titles.get(error.about, error.about)
    )
