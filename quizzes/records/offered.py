"""Which drafts of questions does a write-up offer: those that nobody has accepted or dropped?"""

from procedures.models import WriteUp
from procedures.records.texts import read_rules_once, rules_text
from quizzes.kinds.kind import QuestionText
from quizzes.marking.drafts import drafts
from quizzes.models import DraftDropped, Question
from quizzes.records.sources import newest_source


def offered_drafts(writeup: WriteUp) -> tuple[QuestionText, ...]:
    """The drafts about the newest text of a write-up, in the order of its steps; none without a
    text. Four queries.
    """
    source = newest_source(writeup)
    if source is None:
        return ()
    taken = {
        *Question.objects.filter(writeup=writeup).values_list("name", flat=True),
        *DraftDropped.objects.filter(writeup=writeup).values_list("name", flat=True),
    }
    rules = read_rules_once(rules_text())
    return tuple(
        draft for draft in drafts(source.name, source.writeup, rules) if draft.name not in taken
    )
