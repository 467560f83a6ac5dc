"""What does a shop's matrix mean: who, which services, which first sign-offs; what only its owner
can tell, and what was left out?
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from difflib import SequenceMatcher

from procedures.writeup.letters import SHORT_NAME
from training.exchange.matrix.marks import DayOrder, Mark, MarkKind, read_mark, read_year_first
from training.exchange.matrix.meaning import (
    Answers,
    FirstSignOff,
    LevelOf,
    ListPerson,
    Remark,
    Sheet,
    SheetCell,
    ShopSoFar,
    Understood,
)
from training.exchange.matrix.shape import ListRow, Matrix, NoMatrix, Service, find_matrix

# Lower, “Rear shock service” would be asked about for “Fork service” (0.67).
ALIKE = 0.75  # of two titles, from which on it is asked whether they are one level
# A working life; before that it is a year of two digits gone wrong.
OLDEST = 60  # years that a sign-off may lie back
DOUBTFUL = 10  # years back, from which on 25-12-05 may be a day of 2025
ROLES = {
    "trainee": ("trainee", "apprentice", "learner", "junior", "student"),
    "mechanic": ("mechanic", "technician", "tech", "wrench"),
    "senior": ("senior", "senior mechanic", "lead", "lead technician", "head mechanic", "foreman"),
    "owner": ("owner", "boss", "manager", "owner, no bench work"),
}


def understand(sheets: Sequence[Sheet], known: ShopSoFar, answers: Answers) -> Understood:
    """The matrix of the sheet with the most marks; other sheets are left out, and that is told."""
    names = {make_comparable(text) for pair in known.people.items() for text in pair}
    titles = {make_comparable(text) for pair in known.levels.items() for text in pair}
    found: list[Matrix] = []
    missing: list[Remark] = []
    unsure: list[Remark] = []
    for sheet in sheets:
        try:
            matrix = find_matrix(
                sheet,
                lambda text: make_comparable(text) in names,
                lambda text: make_comparable(text) in titles,
                answers.names,
            )
        except NoMatrix as none:
            missing.append(Remark(none.code, (), {"sheet": sheet.name}))
            continue
        if matrix is None:
            unsure.append(
                Remark("which-are-names", (sheet.rows[0][0].place,), {"sheet": sheet.name})
            )
        else:
            found.append(matrix)
    if not found:
        return Understood(questions=tuple(unsure), faults=() if unsure else tuple(missing[:1]))
    # One sheet only: two lists of one shop would sign people off twice.
    best = max(found, key=lambda matrix: matrix.count)
    others = [
        Remark("other-sheet", (), {"sheet": sheet.name})
        for sheet in sheets
        if sheet.name != best.sheet
    ]
    return _Reading(best, known, answers).understood(others)


def make_comparable(text: str) -> str:
    """A text without case, accents, signs and spaces at its ends, to compare names with."""
    # Without accents, since lists are typed on many keyboards.
    letters = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(sign for sign in letters if not unicodedata.combining(sign))
    return " ".join(re.sub(r"[^\w]+", " ", kept).replace("_", " ").split())


def turn_name(name: str) -> str:
    """“Doe, Jane” as it is spoken: Jane Doe."""
    family, comma, given = name.partition(",")
    return f"{given.strip()} {family.strip()}" if comma and given.strip() else name.strip()


class _Reading:
    """One matrix on its way to what it means."""

    def __init__(self, matrix: Matrix, known: ShopSoFar, answers: Answers) -> None:
        self.matrix, self.known, self.answers = matrix, known, answers
        self.words = {make_comparable(word): means for word, means in answers.words.items()}
        self.questions: list[Remark] = []
        self.faults: list[Remark] = []
        self.left_out = [
            Remark(code, (place,), {"text": text}) for code, place, text in matrix.left_out
        ]
        marks = [mark for line in matrix.lines for _, mark in line.marks.values()]
        # What the owner says comes first; a cell that shows another order is then told as a fault.
        self.order = answers.day_order or told_order(marks)

    def understood(self, others: Iterable[Remark]) -> Understood:
        self.left_out += others
        levels = list(self._levels())
        people = list(self._people())
        signed = list(self._signed(levels, people))
        self._ask_signer(bool(signed))
        return Understood(
            self.matrix.sheet,
            self.matrix.is_turned,
            tuple(service.head for service in self.matrix.services),
            tuple(
                tuple(row.marks[service.column][0].text for service in self.matrix.services)
                for row in self.matrix.lines
            ),
            tuple(people),
            tuple(one for one in levels if one.level),
            tuple(signed),
            tuple(self.questions),
            tuple(self.faults),
            tuple(self.left_out),
        )

    def _levels(self) -> Iterator[LevelOf]:
        """One for each service, in their order; without a level where the column is left out or
        it is not known yet which level it is.
        """
        told = {make_comparable(head): level for head, level in self.answers.levels.items()}
        by_text = {
            make_comparable(text): level
            for level, title in self.known.levels.items()
            for text in (level, title)
        }
        heads = {make_comparable(service.head) for service in self.matrix.services}
        for head in self.answers.levels:
            if make_comparable(head) not in heads:
                self.faults.append(Remark("no-such-head", (), {"head": head}))
        taken: dict[str, str] = {}
        for service in self.matrix.services:
            level = self._level_of(service, told, by_text)
            if level in taken:
                args = {"level": level, "head": service.head, "other": taken[level]}
                self.faults.append(Remark("level-twice", (service.place,), args))
            elif level:
                taken[level] = service.head
            title = self.known.levels.get(level, service.head)
            yield LevelOf(service.head, level, title, level not in self.known.levels)

    def _level_of(
        self, service: Service, told: Mapping[str, str], by_text: Mapping[str, str]
    ) -> str:
        head = make_comparable(service.head)
        if head in told:
            level = told[head]
            if not level:
                self.left_out.append(Remark("told-to", (service.place,), {"text": service.head}))
            elif not SHORT_NAME.fullmatch(level):
                self.faults.append(Remark("no-level-name", (service.place,), {"level": level}))
                return ""
            return level
        if head in by_text:
            return by_text[head]
        alike = [
            level
            for text, level in by_text.items()
            if SequenceMatcher(None, head, text).ratio() >= ALIKE or head in text or text in head
        ]
        if alike:
            titles = [self.known.levels[level] for level in dict.fromkeys(alike)]
            args = {"head": service.head, "titles": titles, "levels": list(dict.fromkeys(alike))}
            self.questions.append(Remark("which-level", (service.place,), args))
            return ""
        made = make_name(service.head)
        if not made:
            args = {"head": service.head, "titles": [], "levels": []}
            self.questions.append(Remark("which-level", (service.place,), args))
        return made

    def _people(self) -> Iterator[ListPerson]:
        by_name: dict[str, list[str]] = {}
        for login, name in self.known.people.items():
            by_name.setdefault(make_comparable(name), []).append(login)
        logins = set(self.known.people)
        seen: dict[str, str] = {}
        for line in self.matrix.lines:
            name = turn_name(line.name)
            key = make_comparable(name)
            if key in seen:
                args = {"name": name, "other": seen[key]}
                self.faults.append(Remark("name-twice", (line.place,), args))
            seen.setdefault(key, line.place)
            same = by_name.get(key, [])
            given = line.fields.get("login")
            # A login is meant as one; a name may belong to two people.
            if given is not None and given.text in self.known.people:
                same = [given.text]
            elif line.name in self.known.people:
                same = [line.name]
            if len(same) > 1:
                self.faults.append(Remark("who-of", (line.place,), {"name": name, "logins": same}))
            if same:
                yield ListPerson(same[0], self.known.people[same[0]], False, line.place)
            else:
                login = self._login(name, given, logins)
                logins.add(login)
                yield self._new_person(line, name, login)

    def _login(self, name: str, given: SheetCell | None, taken: set[str]) -> str:
        if given is not None and re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9._@+-]{,59}", given.text):
            return given.text
        parts = re.sub(r"[^a-z0-9 ]", "", make_comparable(name)).split() or ["person"]
        wanted = [parts[0], ".".join((parts[0], parts[-1]))[:50]]
        # More of them than logins are taken, so that one is always free.
        wanted += [f"{wanted[-1]}{number}" for number in range(2, len(taken) + 3)]
        # Logins that differ only in capitals are taken for one another.
        lower = {login.casefold() for login in taken}
        return next(login for login in wanted if login not in lower)

    def _new_person(self, line: ListRow, name: str, login: str) -> ListPerson:
        holds = any(self._holds(mark) for _, mark in line.marks.values())
        # Whoever is signed off for something is no trainee, unless a column of roles says so.
        trade = "mechanic" if holds else "trainee"
        role = line.fields.get("role")
        if role is not None and role.text:
            said = make_comparable(role.text)
            trade = next(
                (trade for trade, words in ROLES.items() if said in map(make_comparable, words)), ""
            )
            if not trade:
                self.faults.append(Remark("no-such-role", (role.place,), {"role": role.text}))
        workshop = self.known.workshop
        where = line.fields.get("workshop")
        if where is not None and where.text:
            names = {make_comparable(one): one for one in self.known.workshops}
            workshop = names.get(make_comparable(where.text), where.text)
        return ListPerson(
            login,
            name,
            True,
            line.place,
            trade,
            workshop,
            self._day_of(line.fields.get("started")),
            self._day_of(line.fields.get("left")),
        )

    def _holds(self, mark: Mark) -> bool:
        if mark.kind is MarkKind.WORD:
            return self.words.get(make_comparable(mark.word), False)
        return mark.kind in {MarkKind.DAY, MarkKind.UNDATED}

    def _day_of(self, cell: SheetCell | None) -> date | None:
        if cell is None or not cell.text:
            return None
        mark = read_mark(cell.text)
        if mark.kind is MarkKind.NOTHING:
            return None
        if mark.kind is not MarkKind.DAY:
            self.faults.append(Remark("no-day", (cell.place,), {"text": cell.text}))
            return None
        return self._ordered(cell, mark)

    def _ordered(self, cell: SheetCell, mark: Mark) -> date | None:
        day = mark.in_order(self.order)
        if day is None:
            self._ask("day-order", cell.place, text=cell.text, days=mark.days)
        elif mark.order and self.answers.day_order not in {None, mark.order}:
            args = {"text": cell.text, "order": self.answers.day_order}
            self.faults.append(Remark("other-order", (cell.place,), args))
        return day

    def _signed(
        self, levels: Sequence[LevelOf], people: Sequence[ListPerson]
    ) -> Iterator[FirstSignOff]:
        columns = dict(zip((one.column for one in self.matrix.services), levels, strict=True))
        for line, person in zip(self.matrix.lines, people, strict=True):
            for column, (cell, mark) in line.marks.items():
                level = columns[column]
                if level.level and (day := self._day(cell, mark)):
                    # So that the same list can come in again with more in it.
                    if (person.login, level.level, day) in self.known.signed:
                        self.left_out.append(
                            Remark("on-record", (cell.place,), {"text": cell.text})
                        )
                        continue
                    yield FirstSignOff(person.login, level.level, day, cell.place, mark.note)
                elif not level.level:
                    self._day(cell, mark)  # what it leaves open is asked all the same

    def _day(self, cell: SheetCell, mark: Mark) -> date | None:
        """The day of signing that a cell tells; nothing where it tells none, or it is asked."""
        if mark.kind is MarkKind.WORD:
            means = self.words.get(make_comparable(mark.word))
            if means is None:
                self._ask("what-means", cell.place, word=mark.word)
            elif means:
                mark = Mark(
                    MarkKind.DAY if mark.days else MarkKind.UNDATED, mark.days, order=mark.order
                )
        if mark.kind is MarkKind.BAD:
            self.faults.append(Remark(mark.problem, (cell.place,), {"text": cell.text}))
        if mark.kind is MarkKind.UNDATED and self.answers.undated is None:
            self._ask("undated", cell.place)
        if mark.kind is MarkKind.UNDATED:
            return self._within(cell, self.answers.undated)
        if mark.kind is not MarkKind.DAY:
            return None
        return self._within(cell, self._ordered(cell, mark))

    def _within(self, cell: SheetCell, day: date | None) -> date | None:
        if day is None:
            return None
        args = {"text": cell.text, "day": day}
        if day > self.known.today:
            self.faults.append(Remark("in-the-future", (cell.place,), args))
            return None
        if day.year < self.known.today.year - OLDEST:
            self.faults.append(Remark("too-long-ago", (cell.place,), args))
            return None
        other = read_year_first(cell.text)
        # So old that the year is likely to be the first number, as ISO 8601 once allowed.
        if other and day.year < self.known.today.year - DOUBTFUL and other <= self.known.today:
            self.faults.append(Remark("year-first", (cell.place,), args | {"other": other}))
            return None
        return day

    def _ask_signer(self, is_needed: bool) -> None:
        signer = self.answers.signed_by
        if signer and signer not in self.known.owners:
            self.faults.append(Remark("signer-no-owner", (), {"login": signer}))
        elif is_needed and not signer:
            self.questions.append(Remark("who-signed", (), {"owners": sorted(self.known.owners)}))

    def _ask(self, code: str, place: str, **args: object) -> None:
        """One question for all cells that ask the same."""
        same = {"day-order": (), "undated": (), "what-means": ("word",)}[code]
        for at, asked in enumerate(self.questions):
            if asked.code == code and all(
                make_comparable(str(asked.args[key])) == make_comparable(str(args[key]))
                for key in same
            ):
                if place not in asked.places:
                    self.questions[at] = Remark(code, (*asked.places, place), asked.args)
                return
        self.questions.append(Remark(code, (place,), args))


def told_order(marks: Iterable[Mark]) -> DayOrder | None:
    """The order of day and month, where the days of the matrix show it: there is no month 25."""
    orders = {mark.order for mark in marks if mark.order}
    # Both orders in one list: then no single one explains it, and each doubtful day is asked.
    return orders.pop() if len(orders) == 1 else None


def make_name(head: str) -> str:
    """A level's name made of a head: air-spring-service; nothing where it has no letters."""
    kept = re.sub(r"[^a-z0-9]+", "-", make_comparable(head)).strip("-")
    return kept[:80].strip("-")
