"""How do the rota, the absences and the wanted cover of a delivery come in?"""

from __future__ import annotations

from typing import Any

from training.exchange.folder.bringing import Bringing
from training.exchange.folder.delivery import Record
from training.models import DAYS, Absence, Rota, Want


def bring_rota(writing: Bringing) -> None:
    """Who works where, who is away, and how many of a level a workshop wants on each day."""

    def days(row: Record) -> dict[str, Any]:
        return {day: row[day] for day in DAYS}

    Rota.objects.bulk_create(
        Rota(
            person=writing.logins[row["login"]],
            workshop=writing.workshops[row["workshop"]],
            first=row["from"],
            until=row["until"],
            **days(row),
        )
        for row in writing.delivery.rows("rota.csv")
    )
    Absence.objects.bulk_create(
        Absence(
            person=writing.logins[row["login"]],
            first=row["from"],
            until=row["until"],
            why=row["why"],
        )
        for row in writing.delivery.rows("absences.csv")
    )
    Want.objects.bulk_create(
        Want(
            workshop=writing.workshops[row["workshop"]],
            level=writing.level_rows[row["level"]],
            **days(row),
        )
        for row in writing.delivery.rows("want.csv")
    )
    for one, file in (
        ("row of the rota", "rota.csv"),
        ("absence", "absences.csv"),
        ("want", "want.csv"),
    ):
        writing.counts[one] = len(writing.delivery.rows(file))
