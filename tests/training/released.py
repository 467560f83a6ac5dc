"""Which schemas have stood on main, in which order, and since when?

A schema is released here when the tip of main carried it at the end of a landing, for longer than a
minute; the newest migration of each app names it. They were read from the history of the project
once: from the list of main's tips since 29 Nov, and before that by walking back from merge to merge
on main's own side. A test needs no history for it: **a migration that lands gets its line here**.
No test asks for the line; the walk comes to the newest schema in any case.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Released:
    """The newest migration of each app, and the day and time (UTC) of the landing. `without` names
    what was not there yet, though its number is smaller.
    """

    at: str
    procedures: str
    quizzes: str
    training: str
    without: tuple[str, ...] = ()

    @property
    def targets(self) -> list[tuple[str, str]]:
        return [
            ("procedures", self.procedures),
            ("quizzes", self.quizzes),
            ("training", self.training),
        ]


# Day and time, then the newest migration of procedures, quizzes and training; -NAME: not yet there.
TABLE = """
2026-11-25 10:13 0002_sealed 0002_sealed 0003_sealed
2026-11-25 14:54 0003_studying 0002_sealed 0003_sealed
2026-11-25 15:04 0004_proofing 0002_sealed 0003_sealed
2026-11-25 15:26 0004_proofing 0002_sealed 0004_voids
2026-11-25 15:46 0006_drawings 0002_sealed 0004_voids -0005_compare
2026-11-25 16:03 0006_drawings 0003_kinds 0004_voids -0005_compare
2026-11-25 16:14 0007_desk 0003_kinds 0004_voids
2026-11-25 18:48 0007_desk 0003_kinds 0005_visits
2026-11-25 19:09 0007_desk 0004_refreshers 0005_visits
2026-11-25 20:17 0007_desk 0004_refreshers 0006_bench
2026-11-25 20:29 0007_desk 0005_drafts 0006_bench
2026-11-28 21:08 0007_desk 0005_drafts 0007_shown_again
2026-11-28 22:17 0007_desk 0005_drafts 0008_cards
2026-11-29 03:16 0007_desk 0005_drafts 0009_planned
2026-11-29 17:33 0007_desk 0005_drafts 0010_accounts
2026-11-29 17:46 0007_desk 0006_waits 0010_accounts
2026-11-29 18:05 0007_desk 0007_once 0011_once
2026-11-29 18:14 0007_desk 0007_once 0012_void_sheets
2026-11-29 18:22 0007_desk 0007_once 0013_logins_once
2026-11-29 18:29 0009_released_at 0009_rules_in_versions 0018_confirmed_and_ended
2026-11-29 20:42 0009_released_at 0009_rules_in_versions 0019_whose_password
2026-11-29 21:59 0009_released_at 0010_second_tries 0019_whose_password
2026-11-30 01:16 0009_released_at 0010_second_tries 0020_programs
2026-11-30 01:18 0009_released_at 0010_second_tries 0022_jobs_taken_back
2026-11-30 01:59 0009_released_at 0010_second_tries 0023_once_in_other_words
2026-11-30 03:19 0009_released_at 0010_second_tries 0024_calendars
2026-11-30 03:37 0009_released_at 0010_second_tries 0025_reminders
2026-11-30 03:44 0010_examples 0010_second_tries 0026_start
2026-11-30 04:19 0010_examples 0010_second_tries 0027_front
2026-11-30 06:35 0010_examples 0010_second_tries 0028_refused
2026-11-30 07:20 0010_examples 0010_second_tries 0030_kind_of_device
"""


def _read(line: str) -> Released:
    day, time, procedures, quizzes, training, *without = line.split()
    missing = tuple(name.removeprefix("-") for name in without)
    return Released(f"{day} {time}", procedures, quizzes, training, missing)


RELEASED = tuple(_read(line) for line in TABLE.strip().splitlines())
