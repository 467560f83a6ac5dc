"""manage.py remind: send the daily mail to those who want it; for a timer."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.records.refused import Refused
from training.exchange.sending.reminders import UNCONFIRMED, MailOutcome, send_reminders
from training.management.days import today
from training.management.prepared import ShopCommand
from training.models import shop_now
from training.models.reminders import FAILED, STATES
from training.reports.reminders import printed_list

WORDS = dict(STATES) | {UNCONFIRMED: _("waits until the address is confirmed")}


class Command(ShopCommand):
    help = (
        "Send one mail a day to each person who wants it: what runs out, what waits, what is "
        "planned. Run it as often as you like; nobody gets two on a day."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--list", action="store_true", help="print everybody's reminders and send nothing"
        )
        parser.add_argument("--format", choices=["text", "json"], default="text")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["list"]:
            self._print(as_json=options["format"] == "json")
            return
        found: list[MailOutcome] = []
        try:
            for outcome in send_reminders(shop_now()):
                found.append(outcome)
                # At once and not at the end: a run that is cut off has told what it did.
                if options["format"] == "text":
                    self.stdout.write(_say(outcome))
        except Refused as refused:
            raise CommandError(refused.message) from refused
        if options["format"] == "json":
            told = [
                {
                    "login": one.login,
                    "state": one.state,
                    "told": one.told,
                    "decided_now": one.is_new,
                }
                for one in found
            ]
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=1))
        elif not found:
            self.stdout.write(gettext("Nobody wants a daily mail."))
        failed = [one.login for one in found if one.state == FAILED]
        if failed:
            raise CommandError(
                gettext("Not sent, and tried again next time: {people}").format(
                    people=", ".join(failed)
                )
            )

    def _print(self, *, as_json: bool) -> None:
        people = printed_list(on=today(), now=shop_now())
        if as_json:
            told = [
                {
                    "login": one.login,
                    "name": one.name,
                    "workshop": one.workshop,
                    "runs_out": one.runs_out,
                    "planned": one.planned,
                    "next": one.say_steps(),
                }
                for one in people
            ]
            self.stdout.write(json.dumps(told, ensure_ascii=False, indent=1))
            return
        for one in people:
            self.stdout.write(f"{one.name}, {one.workshop}")
            for line in (*one.runs_out, *one.planned, *one.say_steps()):
                self.stdout.write(f"  - {line}")
            self.stdout.write("")


def _say(one: MailOutcome) -> str:
    state = str(WORDS[one.state])
    text = (
        gettext("{login}: {state}")
        if one.is_new
        else gettext("{login}: nothing done, today it is already: {state}")
    )
    said = text.format(login=one.login, state=state)
    return f"{said} ({one.told})" if one.told else said
