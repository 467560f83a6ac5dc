"""Which files and columns does a folder that is brought in have?"""

from collections.abc import Iterator
from dataclasses import dataclass

from training.exchange import cells
from training.exchange.cells import Reader, or_none
from training.models import DAYS, Void, roles
from training.standing.terms import TERMS, Kind, Term


@dataclass(frozen=True, slots=True)
class Column:
    """One column: how its cells are read, whether it may be left out, and what its names must
    name.
    """

    name: str
    read: Reader
    optional: bool = False
    names: str = ""  # "login", "level", "writeup", "workshop": this must be there


def person(name: str = "login", *, empty: bool = False) -> Column:
    return Column(name, or_none(cells.login) if empty else cells.login, names="login")


LEVEL = Column("level", cells.name, names="level")
ON = Column("on", cells.day)
NOTE = Column("note", cells.loose, optional=True)
OF_REVISION = (
    Column("writeup", or_none(cells.name), optional=True, names="writeup"),
    Column("revision", or_none(cells.number), optional=True),
)
TOOLS = Column("tools", cells.marks, optional=True)
RECORDED_AT = Column("recorded_at", or_none(cells.instant), optional=True)
FROM = Column("from", cells.day)
FROM_ANY = Column("from", or_none(cells.day))
UNTIL = Column("until", or_none(cells.day))
WEEKDAYS_OFF_ON = tuple(Column(day, cells.yes_no) for day in DAYS)
WEEKDAYS_COUNTED = tuple(Column(day, cells.number) for day in DAYS)


# What a watcher said of a job; an empty cell is a job from elsewhere, which counts as it stands.
CONFIRMATIONS = WAITING, CONFIRMED, REFUSED = "waiting", "confirmed", "refused"


def _all_or_level(cell: str) -> str | None:
    return None if cell == "*" else cells.name(cell)


def _columns_of_terms() -> Iterator[Column]:
    """The columns of what a level asks: those that must be there, then the others in the order in
    which they came in.
    """
    terms = [(name, term) for name, term in TERMS.items() if term.in_folder]
    for name, term in sorted(terms, key=lambda one: (one[1].is_optional_column, one[1].book)):
        yield _column_of(name, term)


def _column_of(name: str, term: Term) -> Column:
    readers: dict[Kind, tuple[Reader, str]] = {
        "words": (cells.up_to(term.most), ""),
        "levels": (cells.names, "level"),
        "write-ups": (cells.names, "writeup"),
        "number": (cells.number, ""),
        "yes or no": (cells.yes_no, ""),
        "day": (or_none(cells.day), ""),
    }
    read, names = readers[term.kind]
    return Column(name, read, optional=term.is_optional_column, names=names)


# The order of the files is the order in which faults are told and sheets are written.
FILES: dict[str, tuple[Column, ...]] = {
    "workshops.csv": (
        Column("workshop", cells.up_to(120, cells.printed_name)),
        Column("time_zone", cells.time_zone),
        Column("demo", cells.yes_no, optional=True),
    ),
    "people.csv": (
        Column("login", cells.login),
        Column("name", cells.up_to(120, cells.printed_name)),
        Column("workshop", cells.up_to(120, cells.printed_name)),
        Column("trade", cells.one_of(*(trade for trade, _ in roles.TRADES))),
        Column("started", or_none(cells.day)),
        Column("left", or_none(cells.day)),
        Column("owner", or_none(cells.yes_no), optional=True),
    ),
    "levels.csv": (
        Column("level", cells.name),
        *_columns_of_terms(),
        Column("from", or_none(cells.day), optional=True),
    ),
    "quizzes.csv": (
        LEVEL,
        Column("size", cells.number),
        Column("critical_percent", cells.number),
        Column("parts", cells.parts, optional=True),
        Column("minutes", cells.number),
        Column("wait_days", cells.number),
        Column("sittings_a_day", cells.number),
        Column("recall_percent", cells.number),
    ),
    "late-entries.csv": (Column("days_back", cells.number), person("by"), RECORDED_AT),
    "appointments.csv": (
        person(),
        LEVEL,
        person("by"),
        FROM,
        UNTIL,
        Column("ended", cells.several(cells.day), optional=True),
        Column("ended_at", cells.several(cells.instant), optional=True),
        Column("ended_by", cells.several(cells.login), optional=True, names="login"),
        RECORDED_AT,
    ),
    "readings.csv": (
        person(),
        Column("writeup", cells.name, names="writeup"),
        Column("revision", cells.number),
        ON,
        RECORDED_AT,
    ),
    "passes.csv": (
        person(),
        LEVEL,
        ON,
        Column("percent", cells.percent),
        Column("critical_right", cells.yes_no),
        RECORDED_AT,
    ),
    "sittings.csv": (
        person(),
        LEVEL,
        ON,
        Column("started_at", cells.instant),
        Column("recorded_at", cells.instant),
        Column("writeup", cells.name, names="writeup"),
        Column("question", cells.name),
        Column("given", cells.answer),
    ),
    "jobs.csv": (
        person(),
        LEVEL,
        ON,
        person("watched_by", empty=True),
        Column("variant", cells.variant),
        Column("came_back", cells.yes_no),
        NOTE,
        *OF_REVISION,
        TOOLS,
        Column("confirmation", or_none(cells.one_of(*CONFIRMATIONS)), optional=True),
        Column("confirmation_at", or_none(cells.instant), optional=True),
        Column("confirmation_reason", cells.loose, optional=True),
        Column("taken_back_at", or_none(cells.instant), optional=True),
        RECORDED_AT,
    ),
    "observations.csv": (
        person(),
        LEVEL,
        ON,
        person("observer"),
        Column("right", cells.yes_no),
        NOTE,
        *OF_REVISION,
        Column("variant", cells.variant, optional=True),
        Column("lines", cells.check_sheet, optional=True),
        Column("photos", cells.photos, optional=True),
        TOOLS,
        RECORDED_AT,
    ),
    "signoffs.csv": (
        person(),
        LEVEL,
        ON,
        person("signed_by"),
        Column("variants", cells.limits),
        Column("founding", cells.yes_no),
        NOTE,
        RECORDED_AT,
    ),
    "standdowns.csv": (
        person(),
        Column("level", _all_or_level, names="level"),
        FROM,
        person("by"),
        Column("reason", cells.text),
        Column("lifted_on", or_none(cells.day)),
        person("lifted_by", empty=True),
        Column("lift_recorded_at", or_none(cells.instant), optional=True),
        RECORDED_AT,
    ),
    "rota.csv": (
        person(),
        Column("workshop", cells.text, names="workshop"),
        *WEEKDAYS_OFF_ON,
        FROM_ANY,
        UNTIL,
    ),
    "absences.csv": (
        person(),
        FROM,
        Column("until", cells.day),
        Column("why", cells.up_to(200, cells.loose)),
    ),
    "want.csv": (Column("workshop", cells.text, names="workshop"), LEVEL, *WEEKDAYS_COUNTED),
    "voids.csv": (
        Column("kind", cells.one_of(*Void.KINDS)),
        person(),
        Column("about", cells.name),
        ON,
        person("by"),
        Column("reason", cells.text),
        RECORDED_AT,
    ),
}
