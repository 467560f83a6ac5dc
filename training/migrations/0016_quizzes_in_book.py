"""The rules of quizzes, the versions of questions, and who confirmed or withdrew one, into the record book of a shop in use.

From here on the program writes an entry with each of these rows. This step does it once for the rows that were there
before: a row that stands without an entry after it was slipped in. What an entry says is written out here, so that the
step stays what it is when the models change.
"""

from django.db import migrations
from django.utils import timezone

from training.records.book.chain import START, link

PORTION = 500
VERSION = ("number", "kind", "stem", "asked", "says", "steps", "critical", "mirror", "revision")
RULES = ("writeups", "size", "critical_percent", "parts", "minutes", "wait_days", "sittings_a_day", "recall_percent", "recorded_at")


def _login(row):
    return None if row is None else row.login


def _question(question):
    return f"{question.writeup.name}: {question.name}"


def _rules(row):
    return {"quiz": row.quiz.name, "by": _login(row.by)} | {key: getattr(row, key) for key in RULES}


def _version(row):
    told = {key: getattr(row, key) for key in VERSION}
    told["version"] = told.pop("number")
    return told | {"question": _question(row.question), "author": _login(row.author), "written_at": row.recorded_at}


def _about(row, key):
    told = {"question": _question(row.version.question), "version": row.version.number, "by": row.by.login}
    return told | {key: getattr(row, key), "recorded_at": row.recorded_at}


KINDS = (
    ("quiz rules", "QuizRules", ("quiz", "by"), _rules),
    ("question", "QuestionVersion", ("question__writeup", "author"), _version),
    ("question confirmed", "QuestionConfirmed", ("version__question__writeup", "by"), lambda row: _about(row, "revision")),
    ("question withdrawn", "QuestionWithdrawn", ("version__question__writeup", "by"), lambda row: _about(row, "reason")),
)


def into_the_book(apps, schema_editor):
    entries, heads = apps.get_model("training", "BookEntry"), apps.get_model("training", "BookHead")
    found = [
        (kind, row.pk, tell(row))
        for kind, model, related, tell in KINDS
        for row in apps.get_model("quizzes", model).objects.select_related(*related).order_by("pk")
    ]
    if not found:
        return
    head, _ = heads.objects.select_for_update().get_or_create(pk=1, defaults={"digest": START})
    newest = entries.objects.order_by("-number").values_list("written_at", flat=True).first()
    at = max(filter(None, [newest, timezone.now()]))
    made = []
    for kind, pk, body in found:
        entry = link(number=head.number + 1, kind=kind, row=pk, written_at=at, body=body, previous=head.digest)
        made.append(entries(**{key: getattr(entry, key) for key in ("number", "kind", "row", "written_at", "body", "previous", "digest")}))
        head.number, head.digest = entry.number, entry.digest
    entries.objects.bulk_create(made, batch_size=PORTION)
    head.save()


class Migration(migrations.Migration):
    dependencies = [("training", "0015_second_factor"), ("quizzes", "0009_rules_in_versions")]
    operations = [migrations.RunPython(into_the_book, migrations.RunPython.noop)]
