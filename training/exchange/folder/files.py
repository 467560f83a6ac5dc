"""Which files and columns does a folder that is brought in have?"""

from collections.abc import Iterator
from dataclasses import dataclass

from training.exchange.folder import cells
from training.exchange.folder.cells import CellReader, read_or_none
from training.models import DAYS, Void, roles
from training.standing.terms import TERMS, Term, TermKind


@dataclass(frozen=True, slots=True)
class Column:
    """One column: how its cells are read, whether it may be left out, and what its names must
    name.
    """

    name: str
    read: CellReader
    optional: bool = False
    names: str = ""  # "login", "level", "writeup", "workshop": this must be there


def person(name: str = "login", *, empty: bool = False) -> Column:
    return Column(
        name, read_or_none(cells.read_login) if empty else cells.read_login, names="login"
    )


LEVEL = Column("level", cells.read_name, names="level")
ON = Column("on", cells.read_day)
NOTE = Column("note", cells.read_any, optional=True)
OF_REVISION = (
    Column("writeup", read_or_none(cells.read_name), optional=True, names="writeup"),
    Column("revision", read_or_none(cells.read_number), optional=True),
)
TOOLS = Column("tools", cells.read_marks, optional=True)
RECORDED_AT = Column("recorded_at", read_or_none(cells.read_instant), optional=True)
FROM = Column("from", cells.read_day)
FROM_ANY = Column("from", read_or_none(cells.read_day))
UNTIL = Column("until", read_or_none(cells.read_day))
WEEKDAYS_OFF_ON = tuple(Column(day, cells.read_yes_no) for day in DAYS)
WEEKDAYS_COUNTED = tuple(Column(day, cells.read_number) for day in DAYS)


# What a watcher said of a job; an empty cell is a job from elsewhere, which counts as it stands.
CONFIRMATIONS = WAITING, CONFIRMED, REFUSED = "waiting", "confirmed", "refused"


def _all_or_level(cell: str) -> str | None:
    return None if cell == "*" else cells.read_name(cell)


def _columns_of_terms() -> Iterator[Column]:
    """The columns of what a level asks: those that must be there, then the others in the order in
    which they came in.
    """
    terms = [(name, term) for name, term in TERMS.items() if term.in_folder]
    for name, term in sorted(terms, key=lambda one: (one[1].is_optional_column, one[1].book)):
        yield _column_of(name, term)


def _column_of(name: str, term: Term) -> Column:
    readers: dict[TermKind, tuple[CellReader, str]] = {
        "words": (cells.read_up_to(term.most), ""),
        "levels": (cells.read_names, "level"),
        "write-ups": (cells.read_names, "writeup"),
        "number": (cells.read_number, ""),
        "yes or no": (cells.read_yes_no, ""),
        "day": (read_or_none(cells.read_day), ""),
    }
    read, names = readers[term.kind]
    return Column(name, read, optional=term.is_optional_column, names=names)


# The order of the files is the order in which faults are told and sheets are written.
FILES: dict[str, tuple[Column, ...]] = {
    "workshops.csv": (
        Column("workshop", cells.read_up_to(120, cells.read_printed_name)),
        Column("time_zone", cells.read_time_zone),
        Column("demo", cells.read_yes_no, optional=True),
    ),
    "people.csv": (
        Column("login", cells.read_login),
        Column("name", cells.read_up_to(120, cells.read_printed_name)),
        Column("workshop", cells.read_up_to(120, cells.read_printed_name)),
        Column("trade", cells.read_one_of(*(trade for trade, _ in roles.TRADES))),
        Column("started", read_or_none(cells.read_day)),
        Column("left", read_or_none(cells.read_day)),
        Column("owner", read_or_none(cells.read_yes_no), optional=True),
    ),
    "levels.csv": (
        Column("level", cells.read_name),
        *_columns_of_terms(),
        Column("from", read_or_none(cells.read_day), optional=True),
    ),
    "quizzes.csv": (
        LEVEL,
        Column("size", cells.read_number),
        Column("critical_percent", cells.read_number),
        Column("parts", cells.read_parts, optional=True),
        Column("minutes", cells.read_number),
        Column("wait_days", cells.read_number),
        Column("sittings_a_day", cells.read_number),
        Column("recall_percent", cells.read_number),
    ),
    "late-entries.csv": (Column("days_back", cells.read_number), person("by"), RECORDED_AT),
    "appointments.csv": (
        person(),
        LEVEL,
        person("by"),
        FROM,
        UNTIL,
        Column("ended", cells.read_several(cells.read_day), optional=True),
        Column("ended_at", cells.read_several(cells.read_instant), optional=True),
        Column("ended_by", cells.read_several(cells.read_login), optional=True, names="login"),
        RECORDED_AT,
    ),
    "readings.csv": (
        person(),
        Column("writeup", cells.read_name, names="writeup"),
        Column("revision", cells.read_number),
        ON,
        RECORDED_AT,
    ),
    "passes.csv": (
        person(),
        LEVEL,
        ON,
        Column("percent", cells.read_percent),
        Column("critical_right", cells.read_yes_no),
        RECORDED_AT,
    ),
    "sittings.csv": (
        person(),
        LEVEL,
        ON,
        Column("started_at", cells.read_instant),
        Column("recorded_at", cells.read_instant),
        Column("writeup", cells.read_name, names="writeup"),
        Column("question", cells.read_name),
        Column("given", cells.read_answer),
    ),
    "jobs.csv": (
        person(),
        LEVEL,
        ON,
        person("watched_by", empty=True),
        Column("variant", cells.read_variant),
        Column("came_back", cells.read_yes_no),
        NOTE,
        *OF_REVISION,
        TOOLS,
        Column("confirmation", read_or_none(cells.read_one_of(*CONFIRMATIONS)), optional=True),
        Column("confirmation_at", read_or_none(cells.read_instant), optional=True),
        Column("confirmation_reason", cells.read_any, optional=True),
        Column("taken_back_at", read_or_none(cells.read_instant), optional=True),
        RECORDED_AT,
    ),
    "observations.csv": (
        person(),
        LEVEL,
        ON,
        person("observer"),
        Column("right", cells.read_yes_no),
        NOTE,
        *OF_REVISION,
        Column("variant", cells.read_variant, optional=True),
        Column("lines", cells.read_check_sheet, optional=True),
        Column("photos", cells.read_photos, optional=True),
        TOOLS,
        RECORDED_AT,
    ),
    "signoffs.csv": (
        person(),
        LEVEL,
        ON,
        person("signed_by"),
        Column("variants", cells.read_limits),
        Column("founding", cells.read_yes_no),
        NOTE,
        RECORDED_AT,
    ),
    "standdowns.csv": (
        person(),
        Column("level", _all_or_level, names="level"),
        FROM,
        person("by"),
        Column("reason", cells.read_text),
        Column("lifted_on", read_or_none(cells.read_day)),
        person("lifted_by", empty=True),
        Column("lift_recorded_at", read_or_none(cells.read_instant), optional=True),
        RECORDED_AT,
    ),
    "rota.csv": (
        person(),
        Column("workshop", cells.read_text, names="workshop"),
        *WEEKDAYS_OFF_ON,
        FROM_ANY,
        UNTIL,
    ),
    "absences.csv": (
        person(),
        FROM,
        Column("until", cells.read_day),
        Column("why", cells.read_up_to(200, cells.read_any)),
    ),
    "want.csv": (Column("workshop", cells.read_text, names="workshop"), LEVEL, *WEEKDAYS_COUNTED),
    "voids.csv": (
        Column("kind", cells.read_one_of(*Void.KINDS)),
        person(),
        Column("about", cells.read_name),
        ON,
        person("by"),
        Column("reason", cells.read_text),
        RECORDED_AT,
    ),
}
