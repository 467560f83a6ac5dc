"""manage.py old_text FILE --by LOGIN: make a draft of an old procedure, and say how."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.db import transaction
from django.utils import timezone

from procedures.actions.desk import start_from_old
from procedures.actions.old_documents import start_from_document
from procedures.models import Revision
from procedures.records.documents.model import BadDocument, Document
from procedures.records.documents.reading import LARGEST, read_document
from procedures.records.files import write_no_files
from procedures.records.refused import Refused
from procedures.records.wording.say import say
from procedures.reports.old_documents import OldProcedure, tell_old_document, tell_old_text
from procedures.views.forms.writeups import name_from
from procedures.writeup.remarks import Remark, remark
from training.management.prepared import ShopCommand
from training.models import User


class Command(ShopCommand):
    help = (
        "Make a draft of an old procedure (.docx, .odt, .pdf, .txt, .md) and say line by line what "
        "was understood and what was left out."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE", help="the old procedure")
        parser.add_argument("--by", required=True, metavar="LOGIN", help="whose draft it is")
        parser.add_argument("--title", default="", help="left out: as the document says")
        parser.add_argument("--name", default="", help="left out: made from the title")
        parser.add_argument(
            "--check", action="store_true", help="only say what was understood; write nothing"
        )
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        by = User.objects.filter(login=options["by"]).first()
        if by is None:
            raise CommandError(f"There is nobody with the login “{options['by']}”.")
        try:
            found, said = _read(options["file"])
            told = _told(found, said, options["title"], options["name"])
            name = options["name"] or name_from(told.title)
            # A check tries it and takes it back: what it says is what would be.
            with write_no_files(if_tried=options["check"]), transaction.atomic():
                draft = _kept(found, name, told.title, by)
                if options["check"]:
                    transaction.set_rollback(True)
        except BadDocument as bad:
            raise CommandError(say(bad.remark)) from bad
        except Refused as refused:
            raise CommandError(refused.message) from refused
        is_kept = not options["check"]
        if options["format"] == "json":
            answer = {"name": draft.writeup.name, "is_kept": is_kept} | asdict(told)
            self.stdout.write(json.dumps(answer, ensure_ascii=False, indent=1))
        else:
            self.stdout.write("\n".join(_lines(told, draft, is_kept=is_kept)))


def _read(path: Path) -> tuple[Document | str, tuple[Remark, ...]]:
    try:
        if path.stat().st_size > LARGEST:
            raise BadDocument(remark("document-too-large", most=LARGEST // 1_000_000))
        return read_document(path.name, path.read_bytes())
    except OSError as error:
        raise CommandError(f"{path} cannot be read: {error.strerror}.") from error


def _told(found: Document | str, said: tuple[Remark, ...], title: str, name: str) -> OldProcedure:
    if isinstance(found, str):
        return tell_old_text(found, title=title, said=said)
    return tell_old_document(found, title=title, name=name, said=said)


def _kept(found: Document | str, name: str, title: str, by: User) -> Revision:
    if isinstance(found, str):
        return start_from_old(name=name, title=title, text=found, author=by, now=timezone.now())
    return start_from_document(name=name, title=title, document=found, author=by)


def _lines(told: OldProcedure, draft: Revision, *, is_kept: bool) -> list[str]:
    rows = list(told.said)
    for line in told.lines:
        rows.append(f"{line.where}: {line.kind_told}: {line.text}")
        rows += [f"    {one.text}" for one in line.unsure]
    for one in told.left_out:
        words = f" “{one.text}”" if one.text else ""
        rows.append(f"Left out, {one.where}:{words} {one.why.text}")
    name = draft.writeup.name
    done = f"The draft is {name}." if is_kept else f"Checked only. The draft would be {name}."
    return [*rows, done]
