"""How do the write-ups and questions of a delivery come in?"""

from __future__ import annotations

from datetime import date, datetime

from django.utils.translation import gettext

from procedures.actions import writeups as procedures_actions
from procedures.actions.desk import bring_example, bring_old
from procedures.actions.old_documents import bring_old_document
from procedures.models import Asks, Revision, WriteUp
from procedures.records.refused import Refused
from quizzes.actions import questions as quizzes_actions
from quizzes.marking.texts import BadQuestions, read_questions
from quizzes.records.wording.say import say_fault
from training.exchange.folder.bringing import Bringing
from training.exchange.folder.delivery import BroughtOld, BroughtRevision, Fault


def bring_writeups(writing: Bringing) -> None:
    """The shop's rules, the write-ups, and drafts of old texts; what is refused is a fault."""
    if writing.delivery.rules is not None:
        procedures_actions.set_rules(text=writing.delivery.rules, author=None, now=writing.now)
        writing.counts["text of the shop’s rules"] = 1
    # By number, so that the write-up ends with the title of its newest revision.
    for brought in sorted(writing.delivery.revisions, key=lambda row: (row.writeup, row.number)):
        writing.tell(f"Writing {brought.file}")
        try:
            _bring_revision(writing, brought)
        except Refused as refused:
            writing.faults.append(Fault(brought.file, 0, "", refused.message, ""))
    for old in writing.delivery.old:
        try:
            _bring_old(writing, old)
        except Refused as refused:
            writing.faults.append(Fault(old.file, 0, "", refused.message, ""))
    writing.counts["draft from an old text"] = len(writing.delivery.old)
    for one in writing.delivery.examples:
        try:
            bring_example(name=one.writeup, text=one.text, by=one.by, now=writing.now)
        except Refused as refused:
            writing.faults.append(Fault(f"{one.writeup}.md", 0, "", refused.message, ""))
    writing.counts["draft from the examples"] = len(writing.delivery.examples)
    writing.revisions = {
        (row.writeup.name, row.number): row
        for row in Revision.objects.released().select_related("writeup")
    }
    writing.counts["revision of a write-up"] = len(writing.delivery.revisions)


def _bring_old(writing: Bringing, old: BroughtOld) -> None:
    if old.document is None:
        bring_old(name=old.writeup, guessed=old.guessed, now=writing.now)
        return
    by = writing.logins.get(writing.by)
    bring_old_document(name=old.writeup, document=old.document, by=by, now=writing.now)


def _bring_revision(writing: Bringing, brought: BroughtRevision) -> None:
    parsed = brought.parsed
    released = date.fromisoformat(parsed.released) if parsed.released else writing.today()
    writeup = procedures_actions.bring_writeup(
        name=brought.writeup, title=parsed.title or brought.writeup
    )
    procedures_actions.bring_revision(
        writeup=writeup,
        number=brought.number,
        text=brought.text,
        asks=parsed.asks or Asks.NOTHING,
        released_on=released,
        released_at=datetime.fromisoformat(parsed.released_at) if parsed.released_at else None,
        now=writing.now,
    )


def bring_questions(writing: Bringing) -> None:
    """The questions of each write-up; what is refused is a fault."""
    total = 0
    for stem, text in writing.delivery.questions.items():
        file = f"{stem}.yaml"
        try:
            questions = read_questions(text)
            writeup = WriteUp.objects.get(name=stem)
            quizzes_actions.bring_questions(writeup=writeup, questions=questions, now=writing.now)
            total += len(questions)
        except BadQuestions as bad:
            writing.faults += [Fault(file, 0, "", say_fault(fault), "") for fault in bad.faults]
        except Refused as refused:
            writing.faults += [
                Fault(file, 0, "", text, "") for text in (refused.details or (refused.message,))
            ]
        except WriteUp.DoesNotExist:
            writing.faults.append(
                Fault(
                    file,
                    0,
                    "",
                    gettext("there is no write-up '{stem}'").format(stem=stem),
                    gettext("the file named as its write-up"),
                )
            )
    writing.counts["question"] = total
