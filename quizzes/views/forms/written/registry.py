"""Which form has each kind of question, for those who write them?

A kind without one is written as text.
"""

from __future__ import annotations

from quizzes.views.forms.written.amount import AmountWritten
from quizzes.views.forms.written.common import WrittenForm
from quizzes.views.forms.written.match import MatchWritten
from quizzes.views.forms.written.options import ChooseAllWritten, ChooseOneWritten
from quizzes.views.forms.written.order import OrderWritten
from quizzes.views.forms.written.point import PointWritten

WRITTEN: dict[str, type[WrittenForm]] = {
    one.kind: one
    for one in (
        ChooseOneWritten,
        ChooseAllWritten,
        OrderWritten,
        AmountWritten,
        MatchWritten,
        PointWritten,
    )
}
