"""What could a small shop's records look like, drawn at random, as a bring-in folder with questions
to ask about it?

grow_shop(17, folder)              a folder that `manage.py bring` must accept, and ask.json
grow_shop(17, folder, wild=True)   odder records that only the pure rules are asked about
"""

import json
import random
from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path

from tests.training.folder_rows import COLUMNS, write_rows
from tests.training.grow_questions import questions
from tests.training.grow_stage import stage

BROUGHT_AT = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
TODAY = BROUGHT_AT.date()
LOGINS = ("ada", "bo", "cyd", "dee", "eli", "fay", "gus")
LEVELS = ("lower-leg", "air-spring", "travel-change", "rear-can")
WRITEUPS = ("release-air", "fork-service", "seal-check")
VARIANTS = {"ring": ("eyelet", "prong"), "bumper": ("fitted", "none")}
OFFSETS = (None, 0, 60, -300, 330)  # minutes east; None writes Z
WRITEUP = """---
title: {title}
level: {level}
released: {released}
{released_at}asks: {asks}
{variants}---
Demo values. Do not use on a real fork or shock.

## Look first

### Look at the fork {{#look-at-the-fork}}

Look at the fork in the stand, revision {number}.
"""


def yes(flag):
    return "yes" if flag else "no"


class Growth:
    """One random shop in the making."""

    def __init__(self, seed, wild):
        self.rng = random.Random(f"{seed}-{wild}")
        self.wild = wild
        self.rows = {name: [] for name in COLUMNS}
        self.revisions = []
        month_ends = [
            date(2024, 2, 29),
            date(2024, 1, 31),
            date(2025, 8, 31),
            date(2026, 2, 28),
            date(2025, 11, 30),
            date(2024, 12, 31),
        ]
        self.pool = self.rng.sample(month_ends, 3) + [self.any_day() for _ in range(6)]

    # ---- chance

    def chance(self, share):
        return self.rng.random() < share

    def any_day(self, first=date(2023, 1, 1), last=date(2026, 11, 24)):
        return first + timedelta(days=self.rng.randint(0, max(0, (last - first).days)))

    def day(self, first=date(2022, 6, 1), last=TODAY):
        """A day, often one of a few that recur, so that entries meet on the same day or on
        neighbouring ones.
        """
        near = self.rng.choice(self.pool) + timedelta(days=self.rng.choice((0, 0, 0, 1, -1, 14)))
        return near if self.chance(0.6) and first <= near <= last else self.any_day(first, last)

    def later(self, first):
        return self.day(first, max(first, TODAY))

    def instant(self, day, share_empty=0.15):
        """When an entry of that day was written down: mostly at once, sometimes long after,
        sometimes not said.
        """
        if self.chance(share_empty):
            return ""
        late = self.rng.choice((0, 0, 0, 0, 1, 2, self.rng.randint(20, 400)))
        moment = datetime.combine(
            day + timedelta(days=late),
            time(self.rng.choice((8, 12, 15, self.rng.randint(0, 23))), 30),
            UTC,
        )
        if moment >= BROUGHT_AT:
            moment = BROUGHT_AT - timedelta(days=self.rng.randint(1, 60), hours=3)
        return self.written(moment)

    def written(self, moment):
        offset = self.rng.choice(OFFSETS)
        if offset is None:
            return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        return moment.astimezone(timezone(timedelta(minutes=offset))).isoformat()

    def add(self, kind, day, /, **row):
        """Write an entry with its moment of recording; one that is the same but for that moment is
        left out.
        """
        if any({**old, "recorded_at": ""} == {**row, "recorded_at": ""} for old in self.rows[kind]):
            return
        self.rows[kind].append({**row, "recorded_at": self.instant(day)})

    # ---- the shop

    def grow(self):
        for step in (
            self.people,
            self.levels,
            self.appointments,
            self.signoffs,
            self.study,
            self.work,
            self.standdowns,
            self.voids,
        ):
            step()
        return self

    def people(self):
        self.logins = LOGINS[: self.rng.choice((3, 3, 4, 4, 5, 6, 7))]
        for number, login in enumerate(self.logins):
            trade = (
                ("owner", "senior")[number]
                if number < 2
                else self.rng.choice(("trainee", "mechanic", "senior"))
            )
            started = (
                self.day(date(2022, 6, 1), date(2027, 3, 1))
                if self.chance(0.2) and number
                else date(2022, 1, 3)
            )
            left = (
                self.day(max(started, date(2024, 6, 1)), date(2027, 9, 1))
                if self.chance(0.2)
                else ""
            )
            started = "" if self.wild and self.chance(0.1) else started
            name = f"{login.title()} Demo"
            self.rows["people"].append(
                {
                    "login": login,
                    "name": name,
                    "workshop": "Demo Works",
                    "trade": trade,
                    "started": started,
                    "left": left,
                }
            )
        self.seniors = [
            row["login"] for row in self.rows["people"] if row["trade"] in ("owner", "senior")
        ]

    def levels(self):
        rng, names = self.rng, LEVELS[: self.rng.choice((2, 2, 3, 3, 4))]
        writeups = WRITEUPS[: rng.randint(1, 3)]
        for number, level in enumerate(names):
            earlier = rng.sample(names[:number], min(number, rng.choice((0, 1, 1, 2))))
            covered = [name for name in writeups if self.chance(0.5)]
            practice = rng.choice(((0, 0), ("", ""), (1, 6), (2, 12), (1, 1), (2, 18)))
            practice = rng.choice(((0, 6), (1, 0), practice)) if self.wild else practice
            self.rows["levels"].append(
                {
                    "level": level,
                    "title": f"{level} service",
                    "earlier": ";".join(earlier),
                    "writeups": ";".join(covered),
                    "valid_months": rng.choice(
                        (590, 720)
                        if self.wild and self.chance(0.02)
                        else (1, 6, 12, 24, 36, 36, 48, 60)
                    ),
                    "practice_jobs": practice[0],
                    "practice_months": practice[1],
                    "watched_jobs": rng.choice(("", 0, 1, 2, 3)),
                    "observations": rng.choice(("", 0, 1, 2)),
                    "pass_percent": rng.choice(("", 0, 75, 80, 80, 90)),
                    "grace_days": rng.choice(("", 0, 1, 14, 30)),
                    "watched_per_option": rng.choice(("", "yes", "no")),
                    "observers": rng.choice(("", 0, 1, 2)),
                    "practice_from": self.day(date(2022, 6, 1), date(2027, 3, 1))
                    if self.chance(0.3)
                    else "",
                }
            )
        self.options = {
            name: {v: VARIANTS[v] for v in VARIANTS if self.chance(0.6)} for name in writeups
        }
        for name in writeups:
            self.revise(name)

    def revise(self, name):
        day = self.day(date(2022, 2, 1), date(2025, 12, 31))
        levels = [
            row["level"] for row in self.rows["levels"] if name in row["writeups"].split(";")
        ] + [LEVELS[0]]
        for number in range(1, self.rng.randint(1, 3) + 1):
            level, at = levels[0] if self.chance(0.6) else self.rng.choice(levels), ""
            if self.chance(0.6):
                at = self.written(
                    datetime.combine(
                        day, time(self.rng.choice((3, 8, 12, 15)), self.rng.choice((0, 30))), UTC
                    )
                )
            asks = self.rng.choice(
                ("nothing", "read again", "answer again", "show again", "show again", "show again")
            )
            self.revisions.append(
                {
                    "writeup": name,
                    "number": number,
                    "released": day,
                    "asks": asks,
                    "level": level,
                    "released_at": at,
                }
            )
            day = self.day(day + timedelta(days=1), max(day + timedelta(days=1), TODAY))
            if self.wild and self.chance(0.2):
                day = self.day(date(2022, 2, 1), date(2027, 6, 1))

    def names(self):
        return [row["level"] for row in self.rows["levels"]]

    def variants_of(self, level):
        covered = next(row for row in self.rows["levels"] if row["level"] == level)[
            "writeups"
        ].split(";")
        return {
            variant: options
            for name in covered
            if name
            for variant, options in self.options[name].items()
        }

    def appointments(self):
        for login in self.logins:
            share = 0.8 if login in self.seniors else 0.3
            for level in [name for name in self.names() if self.chance(share)]:
                first = self.day(date(2022, 1, 3), date(2023, 12, 31))
                until = self.later(first) if self.chance(0.35) else ""
                given = {"from": first, "until": until, **self.ended(first)}
                self.add(
                    "appointments", first, login=login, level=level, by=self.logins[0], **given
                )
                if until and self.chance(0.5):
                    again = until + timedelta(days=self.rng.choice((1, 2, 60)))
                    self.add(
                        "appointments",
                        again,
                        login=login,
                        level=level,
                        by=self.logins[0],
                        **{"from": again, "until": ""},
                    )

    def ended(self, first):
        """An appointment's early ends, as columns: mostly none, now and then a second one that is
        earlier or later.
        """
        ends = []
        for _ in range(self.rng.choice((0, 0, 0, 1, 2))):
            moment = datetime.combine(
                self.day(first + timedelta(days=1), max(TODAY, first)), time(8, 15), UTC
            )
            until = moment.date() + timedelta(days=self.rng.choice((0, 0, 1, 60)))
            # Written down long after; no shop would take it, the pure rules do.
            if self.wild and self.chance(0.5):
                until = first + timedelta(days=self.rng.randint(0, 200))
            ends.append((until, self.written(moment)))
        return {
            "ended": ";".join(str(day) for day, _ in ends),
            "ended_at": ";".join(at for _, at in ends),
            "ended_by": ";".join(self.logins[:1] * len(ends)),
        }

    def limits(self, level):
        variants = self.variants_of(level)
        limited = [name for name in variants if self.chance(0.5)]
        if not limited or self.chance(0.75):
            return "*"
        return ";".join(
            f"{name}={'|'.join(self.rng.sample(variants[name], self.rng.choice((1, 1, 2))))}"
            for name in limited
        )

    def signoffs(self):
        for login in self.seniors:
            for level in [
                name
                for name in self.names()
                if self.chance(0.95 if login == self.logins[0] else 0.7)
            ]:
                for _ in range(self.rng.randint(1, 3)):
                    self.sign(
                        login,
                        level,
                        self.day(date(2022, 1, 3), date(2025, 12, 31)),
                        self.logins[0],
                        founding=True,
                    )
        for _ in range(self.rng.randint(6, 22)):
            level = self.rng.choice(self.names())
            named = [row["login"] for row in self.rows["appointments"] if row["level"] == level]
            signer = self.rng.choice(named if named and self.chance(0.8) else self.logins)
            others = [name for name in self.logins if name != signer]
            login = signer if self.chance(0.05) else self.rng.choice(others)
            last = date(2027, 6, 1) if self.chance(0.1) else TODAY
            day = self.day(date(2022, 6, 1), last)
            self.sign(login, level, day, signer)
            # One day for every level, so that one rests on another of the same day.
            if self.chance(0.25):
                for name in self.names():
                    self.sign(login, name, day, self.logins[0])
            # Who was signed for signs for a third on the same day or soon after.
            if self.chance(0.25):
                self.sign(
                    self.rng.choice(self.logins),
                    level,
                    day + timedelta(days=self.rng.choice((0, 0, 1))),
                    login,
                )
            if self.chance(0.15):  # a ring: each signs for the other
                self.sign(
                    signer, level, day + timedelta(days=self.rng.choice((0, 0, 1, -1, 30))), login
                )

    def sign(self, login, level, day, signer, founding=False):
        limits = "*" if founding and self.chance(0.7) else self.limits(level)
        self.add(
            "signoffs",
            day,
            login=login,
            level=level,
            on=day,
            signed_by=signer,
            variants=limits,
            founding=yes(founding),
            note="",
        )

    def study(self):
        for login in [name for name in self.logins if self.chance(0.85)]:
            for revision in [row for row in self.revisions if self.chance(0.7)]:
                first = date(2022, 6, 1) if self.wild else revision["released"]
                day = self.later(first)
                self.add(
                    "readings",
                    day,
                    login=login,
                    writeup=revision["writeup"],
                    revision=revision["number"],
                    on=day,
                )
            for level in self.names():
                for _ in range(self.rng.choice((0, 1, 1, 2, 3))):
                    day, percent = (
                        self.day(),
                        self.rng.choice(
                            ("70", "74.9", "75", "75", "80", "80", "89.99", "90", "90", "100")
                        ),
                    )
                    self.add(
                        "passes",
                        day,
                        login=login,
                        level=level,
                        on=day,
                        percent=percent,
                        critical_right=yes(self.chance(0.85)),
                    )

        for login in [
            name for name in self.logins if self.chance(0.8 if name in self.seniors else 0.4)
        ]:
            self.catch_up(login)

    def catch_up(self, login):
        """Somebody who keeps up: does, mostly in time, what each release asks."""
        for revision in [row for row in self.revisions if row["asks"] != "nothing"]:
            writeup, levels = (
                revision["writeup"],
                [
                    row["level"]
                    for row in self.rows["levels"]
                    if revision["writeup"] in row["writeups"].split(";")
                ],
            )
            day = self.soon(revision["released"])
            self.add(
                "readings", day, login=login, writeup=writeup, revision=revision["number"], on=day
            )
            for level in levels:
                day, right = self.soon(revision["released"]), yes(self.chance(0.85))
                self.add(
                    "passes",
                    day,
                    login=login,
                    level=level,
                    on=day,
                    percent=self.rng.choice(("75", "80", "90", "95")),
                    critical_right=right,
                )
                day, observer = (
                    self.soon(revision["released"]),
                    self.rng.choice([name for name in self.logins if self.wild or name != login]),
                )
                self.observe(
                    day,
                    login,
                    level,
                    observer,
                    yes(self.chance(0.85)),
                    revision if self.chance(0.5) else None,
                )

    def observe(self, day, login, level, observer, right, revision=None):
        """An observation, of no write-up that is named, of this one, or of any other."""
        if revision is None and self.chance(0.5):
            revision = self.rng.choice(self.revisions)
        named = {"writeup": revision["writeup"], "revision": revision["number"]} if revision else {}
        self.add(
            "observations",
            day,
            login=login,
            level=level,
            on=day,
            observer=observer,
            right=right,
            note="",
            **named,
        )

    def soon(self, released):
        """A day at or soon after a release, now and then just before it where that makes sense."""
        day = released + timedelta(
            days=self.rng.choice((0, 0, 0, 1, 2, 10, 16) if not self.wild else (-1, 0, 0, 5))
        )
        return min(day, max(TODAY, released))

    def work(self):
        for login in self.logins:
            others = [
                name for name in self.logins if name != login or (self.wild and self.chance(0.1))
            ]
            for _ in range(self.rng.choice((0, 2, 5, 9))):
                day, level = self.day(), self.rng.choice(self.names())
                watcher = self.rng.choice(others) if self.chance(0.5) else ""
                variant = ";".join(
                    f"{name}={self.rng.choice(options)}"
                    for name, options in self.variants_of(level).items()
                )
                row = {
                    "watched_by": watcher,
                    "variant": variant,
                    "came_back": yes(self.chance(0.1)),
                    "note": "",
                }
                self.add("jobs", day, login=login, level=level, on=day, **row)
                self.confirm(self.rows["jobs"][-1])
            for _ in range(self.rng.choice((0, 1, 3, 6))):
                day, level = self.day(), self.rng.choice(self.names())
                observer, right = self.rng.choice(others), yes(self.chance(0.8))
                self.observe(day, login, level, observer, right)

    def confirm(self, job):
        """What the watcher said of a job: mostly nothing (from elsewhere), else confirmed, refused
        or not yet.
        """
        said = (
            self.rng.choice(("", "", "confirmed", "confirmed", "waiting", "refused"))
            if job["watched_by"]
            else ""
        )
        job["confirmation"] = said
        if said not in ("", "waiting"):
            written = (
                datetime.fromisoformat(job["recorded_at"])
                if job["recorded_at"]
                else datetime.combine(job["on"], time(21, 45), UTC)
            )
            late = timedelta(
                days=self.rng.choice((0, 0, 1, 3, 40)), minutes=self.rng.choice((0, 0, 45))
            )
            job["confirmation_at"] = self.written(
                max(written, min(written + late, BROUGHT_AT - timedelta(hours=1)))
            )
            job["confirmation_reason"] = "Demo" if said == "refused" else ""

    def standdowns(self):
        for _ in range(self.rng.choice((0, 0, 1, 2, 3))):
            login, by = self.rng.choice(self.logins), self.rng.choice(self.seniors)
            level = "*" if self.chance(0.3) else self.rng.choice(self.names())
            first = self.day(date(2023, 1, 1), date(2027, 3, 1))
            lifted = (
                first + timedelta(days=self.rng.choice((0, 1, 10, 45, 200)))
                if self.chance(0.6)
                else ""
            )
            row = {"from": first, "lifted_on": lifted, "lifted_by": by if lifted else ""}
            row["lift_recorded_at"] = self.instant(lifted, 0.4) if lifted else ""
            self.add("standdowns", first, login=login, level=level, by=by, reason="Demo", **row)

    def voids(self):
        kinds = {
            "signoff": "signoffs",
            "job": "jobs",
            "reading": "readings",
            "pass": "passes",
            "observation": "observations",
        }
        for kind in self.rng.choices(list(kinds), (5, 1, 1, 1, 1), k=self.rng.choice((0, 1, 2, 4))):
            if not self.rows[kinds[kind]]:
                continue
            entry = self.rng.choice(self.rows[kinds[kind]])
            recorded = entry["recorded_at"] and datetime.fromisoformat(entry["recorded_at"])
            if recorded and self.wild and self.chance(0.2):
                recorded -= timedelta(days=1)
            elif recorded:
                recorded = min(
                    recorded + timedelta(days=self.rng.choice((0, 1, 30, 300))),
                    max(recorded, BROUGHT_AT),
                )
            about = entry["writeup"] if kind == "reading" else entry["level"]
            row = {
                "kind": kind,
                "login": entry["login"],
                "about": about,
                "on": entry["on"],
                "by": self.logins[0],
                "reason": "Demo",
            }
            self.rows["voids"].append(
                {
                    **row,
                    "recorded_at": self.written(recorded) if recorded and self.chance(0.9) else "",
                }
            )
            # Entered once more, afresh.
            if recorded and self.chance(0.25) and recorded < BROUGHT_AT - timedelta(days=2):
                again = self.written(recorded + timedelta(days=1))
                said = {column: "" for column in entry if column.startswith("confirmation")}
                self.rows[kinds[kind]].append({**entry, **said, "recorded_at": again})


def grow_shop(seed: int, folder: Path, wild: bool = False) -> None:
    """Write the bring-in folder of random shop number `seed` and its ask.json; the same number
    gives the same shop.
    """
    shop = Growth(seed, wild).grow()
    staged = stage(shop)
    (folder / "writeups").mkdir(parents=True, exist_ok=True)
    for name, rows in shop.rows.items():
        write_rows(folder, name, rows, shop.rng)
    for revision in shop.revisions:
        name, number, options = (
            revision["writeup"],
            revision["number"],
            shop.options[revision["writeup"]],
        )
        variants = (
            "variants:\n"
            + "".join(f"  {key}: [{', '.join(value)}]\n" for key, value in options.items())
            if options
            else ""
        )
        at = f"released_at: {revision['released_at']}\n" if revision["released_at"] else ""
        text = WRITEUP.format(
            title=name,
            variants=variants,
            released_at=at,
            **{key: revision[key] for key in ("level", "released", "asks", "number")},
        )
        path = folder / "writeups" / (f"{name}.md" if number == 1 else f"{name}.r{number}.md")
        path.write_text(text, encoding="utf-8")
    (folder / "ask.json").write_text(
        json.dumps([*questions(shop, BROUGHT_AT), staged], indent=1), encoding="utf-8"
    )
