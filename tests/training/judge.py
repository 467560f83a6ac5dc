"""Who may do what, worked out a second time: naively, day by day, straight from a bring-in folder?

Written only from the shop's rules of standing; it shares no code with `training`. Dates are plain
days of the shop's time zone. Where the rules leave a reason code open, the code is listed under
"unsure" and not compared.

    python -m tests.training.judge 1 200        compares the pure answer with this one over random
    shops 1 … 200
"""

import calendar
import functools
import itertools
import sys
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from tests.training.folder_rows import EVIDENCE, day_of, limits_of, read_folder

ASKING = ("read again", "answer again", "show again")


@functools.cache
def months(day: date, count: int) -> date:
    """The same day of the month `count` months on, or the last day of that month where it has no
    such day.
    """
    year, month = divmod(day.year * 12 + day.month - 1 + count, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def _covers(signoff, question):
    return all(question.get(variant) in options for variant, options in signoff["limits"].items())


class Known:
    """The shop as it is known at one instant: what was recorded later, and what is void, is not in
    it.
    """

    def __init__(self, shop, known_at, time_zone):
        self.people = {person["login"]: person for person in shop["people"]}
        self.levels = {level["level"]: level for level in shop["levels"]}
        self.zone = ZoneInfo(time_zone)
        today = self.local_day(known_at)
        self.drafted = shop["revisions"]
        self.revisions = [
            revision for revision in shop["revisions"] if revision["released"] <= today
        ]
        voids = [void for void in shop["voids"] if void["recorded_at"] <= known_at]
        for name in EVIDENCE[:-1]:
            kind, about = (
                name.removesuffix("es") if name == "passes" else name[:-1],
                "writeup" if name == "readings" else "level",
            )
            known = [row for row in shop[name] if row["recorded_at"] <= known_at]
            if name == "jobs":  # one said to be watched counts from its confirmation
                known = [
                    row
                    for row in known
                    if row["counts_from"] is not None and row["counts_from"] <= known_at
                ]
            grouped = {}
            for row in known:
                if not any(self._is_void(row, void, kind, about) for void in voids):
                    grouped.setdefault((row["login"], row[about]), []).append(row)
            setattr(self, name, grouped)
        self.known_at = known_at
        self.alone_before, self.entitled_before, self.asked_of = {}, {}, {}

    @staticmethod
    def _is_void(row, void, kind, about):
        same = (void["kind"], void["login"], void["about"], void["on"]) == (
            kind,
            row["login"],
            row[about],
            row.get("on"),
        )
        return same and row["recorded_at"] <= void["recorded_at"]

    def local_day(self, instant):
        return instant.astimezone(self.zone).date()

    def comes_first(self, release, entry):
        """ "release" or "entry", whichever came first; "open" where their instants on one day do
        not tell.
        """
        day, written, told = release["released"], entry["recorded_at"], release["released_at"]
        if entry["on"] != day:
            return "entry" if entry["on"] < day else "release"
        if (
            told is None
            or self.local_day(told) != day
            or self.local_day(written) != day
            or told == written
        ):
            return "open"
        return "entry" if written < told else "release"

    def counting(self, name, login, about, day):
        return [row for row in getattr(self, name).get((login, about), []) if row["on"] <= day]

    # rules 1 and 2

    def is_here(self, login, day):
        person = self.people[login]
        return (person["started"] is None or person["started"] <= day) and (
            person["left"] is None or day <= person["left"]
        )

    def is_stood_down(self, login, level, day):
        for row in [
            *self.standdowns.get((login, level), []),
            *self.standdowns.get((login, "*"), []),
        ]:
            lifted = (
                row["lifted_on"] is not None
                and row["lifted_on"] <= day
                and row["lift_recorded_at"] <= self.known_at
            )
            if row["from"] <= day and not lifted:
                return True
        return False

    # rules 3, 4 and 6: one sign-off

    def signoffs_at(self, login, level, day, signing):
        """The counting sign-offs; `signing`: a signer's own standing on `day` is asked, where only
        founding ones of that day count.
        """
        rows = self.counting("signoffs", login, level, day)
        return [row for row in rows if row["founding"] or not signing or row["on"] != day]

    def is_entitled(self, signoff):
        if id(signoff) not in self.entitled_before:
            self.entitled_before[id(signoff)] = self._is_entitled(signoff)
        return self.entitled_before[id(signoff)]

    def _is_entitled(self, signoff):
        if signoff["founding"]:
            return True
        signer, level, day = signoff["signed_by"], signoff["level"], signoff["on"]
        appointed = any(
            row["from"] <= day and all(day <= last for last in self.last_days(row))
            for row in self.appointments.get((signer, level), [])
        )
        if signer == signoff["login"] or not appointed:
            return False
        limits = signoff["limits"]
        questions = [
            dict(zip(limits, options, strict=True))
            for options in itertools.product(*limits.values())
        ]
        return all(
            self.is_alone(signer, level, day, question, signing=True) for question in questions
        )

    def last_days(self, appointment):
        """The last day of an appointment as given, and each one that it got by an early end known
        by now.
        """
        given = [appointment["until"]] if appointment["until"] else []
        return given + [
            day for day, recorded_at in appointment["ends"] if recorded_at <= self.known_at
        ]

    def has_pass_after(self, login, level, release, day):
        needed = self.levels[level]["pass_percent"]
        sittings = [
            row
            for row in self.counting("passes", login, level, day)
            if self.comes_first(release, row) == "release"
        ]
        return not needed or any(
            row["percent"] >= needed and row["critical_right"] for row in sittings
        )

    def was_seen_after(self, login, level, release, day):
        seen = [
            row
            for row in self.counting("observations", login, level, day)
            if self.comes_first(release, row) == "release"
        ]
        of_it = [
            row for row in seen if not row.get("writeup") or row["writeup"] == release["writeup"]
        ]
        return any(row["right"] and row["observer"] != login for row in of_it)

    def changes_after(self, signoff):
        """The changes that ask something of whoever holds this sign-off, each with the last day of
        its time; the same whatever day is asked about.
        """
        if id(signoff) not in self.asked_of:
            rules = self.levels[signoff["level"]]
            self.asked_of[id(signoff)] = [
                (change, change["released"] + timedelta(days=rules["grace_days"]))
                for change in self.revisions
                if change["writeup"] in rules["writeups"]
                and change["asks"] in ASKING
                and self.comes_first(change, signoff) != "release"
            ]
        return self.asked_of[id(signoff)]

    def changes_missed(self, signoff, day):
        login, rules, missed = signoff["login"], self.levels[signoff["level"]], []
        for change, answer_by in self.changes_after(signoff):
            if day <= answer_by:
                continue
            asked = ASKING.index(change["asks"])
            readings = self.counting("readings", login, change["writeup"], day)
            if not any(row["revision"] >= change["number"] for row in readings):
                missed.append("change-not-read")
            if asked >= 1 and not self.has_pass_after(login, rules["level"], change, day):
                missed.append("change-not-answered")
            if asked == 2 and not self.was_seen_after(login, rules["level"], change, day):
                missed.append("change-not-shown")
        return missed

    def signoff_faults(self, signoff, day, question):
        faults = [] if self.is_entitled(signoff) else ["signer-not-entitled"]
        if not _covers(signoff, question):
            faults.append("variant-not-covered")
        if day > months(signoff["on"], self.levels[signoff["level"]]["valid_months"]):
            faults.append("sign-off-ended")
        return faults + self.changes_missed(signoff, day)

    # rule 5

    def is_after(self, level, other):
        """True when `other` comes before `level`, through any number of levels."""
        return any(
            name == other or self.is_after(name, other) for name in self.levels[level]["earlier"]
        )

    def is_in_practice(self, login, level, day, signing):
        rules = self.levels[level]
        if not rules["practice_jobs"] or not rules["practice_months"]:
            return True
        began = rules.get("practice_from")
        if began is not None and day <= months(began, rules["practice_months"]):
            return True
        first = months(day, -rules["practice_months"])
        counted = [name for name in self.levels if name == level or self.is_after(name, level)]
        jobs = [
            row
            for name in counted
            for row in self.counting("jobs", login, name, day)
            if row["on"] >= first
        ]
        signed = [
            row
            for row in self.signoffs_at(login, level, day, signing)
            if row["on"] >= first and self.is_entitled(row)
        ]
        return len(jobs) >= rules["practice_jobs"] or bool(signed)

    # the standing

    def failing(self, login, level, day, question, signing=False):
        """(codes of the rules that keep the person from *alone*, codes that the rules leave
        open).
        """
        codes, unsure = [], set()
        if not self.is_here(login, day):
            codes.append("not-here")
        if self.is_stood_down(login, level, day):
            codes.append("stood-down")
        held = self.signoffs_at(login, level, day, signing)
        if not held:
            codes.append("no-sign-off")
        # the newest first: one without a fault is enough
        elif all(self.signoff_faults(row, day, question) for row in reversed(held)):
            faults = [(row["on"], self.signoff_faults(row, day, question)) for row in held]
            last = max(on for on, _ in faults)
            told = [set(found) for on, found in faults if on == last]
            codes += told[0]
            unsure = set.union(*told) - set.intersection(*told)
        if not self.is_in_practice(login, level, day, signing):
            codes.append("out-of-practice")
        if not all(
            self.is_alone(login, name, day, question, signing)
            for name in self.levels[level]["earlier"]
        ):
            codes.append("earlier-level")
        return codes, unsure

    def is_alone(self, login, level, day, question, signing=False):
        key = (login, level, day, tuple(sorted(question.items())), signing)
        if key not in self.alone_before:
            self.alone_before[key] = not self.failing(login, level, day, question, signing)[0]
        return self.alone_before[key]

    def is_watched(self, login, level, day, question):
        """True when the person is at least *watched*."""
        if self.is_alone(login, level, day, question):
            return True
        if (
            not self.is_here(login, day)
            or self.is_stood_down(login, level, day)
            or self.missing_study(login, level, day)[0]
        ):
            return False
        return all(
            self.is_watched(login, name, day, question) for name in self.levels[level]["earlier"]
        )

    def missing_study(self, login, level, day):
        """(codes that keep the person from working watched, codes left open)."""
        rules, codes, unsure = self.levels[level], [], set()
        for writeup in rules["writeups"]:
            out = [
                row["number"]
                for row in self.revisions
                if row["writeup"] == writeup and row["released"] <= day
            ]
            read = [row["revision"] for row in self.counting("readings", login, writeup, day)]
            if out and max(out) not in read:
                codes.append("not-read")
        good = [row for row in self.counting("passes", login, level, day) if self.is_pass(row)]
        if rules["pass_percent"] and not any(
            day <= months(row["on"], rules["valid_months"]) for row in good
        ):
            codes.append(self.quiz_code(login, level, day))
        return codes, unsure

    def is_pass(self, sitting):
        return (
            sitting["percent"] >= self.levels[sitting["level"]]["pass_percent"]
            and sitting["critical_right"]
        )

    def latest_sitting(self, login, level, day):
        """The latest by its day, and on one day by its instant; of several with one instant, one
        that was not passed.
        """
        latest = None
        for row in self.counting("passes", login, level, day):
            here, there = [
                (one["on"], one["recorded_at"]) if one else None for one in (row, latest)
            ]
            if there is None or here > there or (here == there and self.is_pass(latest)):
                latest = row
        return latest

    def quiz_code(self, login, level, day):
        latest = self.latest_sitting(login, level, day)
        reached = latest is not None and latest["percent"] >= self.levels[level]["pass_percent"]
        return "critical-wrong" if reached and not latest["critical_right"] else "quiz-not-passed"

    def missing_latest_pass(self, login, level, day):
        """The code where the latest sitting is no pass that is still valid: a signature waits for
        one.
        """
        rules, latest = self.levels[level], self.latest_sitting(login, level, day)
        if not rules["pass_percent"]:
            return []
        is_there = (
            latest is not None
            and self.is_pass(latest)
            and day <= months(latest["on"], rules["valid_months"])
        )
        return [] if is_there else [self.quiz_code(login, level, day)]

    def missing_practice(self, login, level, day):
        """(codes of the latest sitting and the watched work that a signature still waits for, codes
        left open).
        """
        rules, codes, unsure = (
            self.levels[level],
            self.missing_latest_pass(login, level, day),
            set(),
        )
        jobs = [
            row
            for row in self.counting("jobs", login, level, day)
            if row["watched_by"] not in ("", login)
        ]
        options = {
            (variant, option)
            for revision in self.drafted
            if revision["writeup"] in rules["writeups"]
            for variant, named in revision["variants"].items()
            for option in named
        }
        done = {
            pair
            for row in jobs
            for pair in ((v, o[0]) for v, o in limits_of(row["variant"]).items())
        }
        if len(jobs) < rules["watched_jobs"]:
            codes.append("too-few-watched-jobs")
        elif rules.get("watched_per_option") and options:
            codes += ["too-few-watched-jobs"] if options - done else []
            # how many for each option, and whether where none are asked in all, is open
            unsure.add("too-few-watched-jobs")
        rows = self.counting("observations", login, level, day)
        named = [row for row in rows if not row.get("writeup") or row["names"] == level]
        observers = [row["observer"] for row in named if row["right"] and row["observer"] != login]
        if len(observers) < rules["observations"] or len(set(observers)) < rules.get(
            "observers", 0
        ):
            codes.append("not-observed")
        return codes, unsure

    def person_answer(self, login, level, day, question):
        codes, unsure = self.failing(login, level, day, question)
        standing = (
            "alone"
            if not codes
            else "watched"
            if self.is_watched(login, level, day, question)
            else "no"
        )
        extra = (
            [self.missing_study(login, level, day)]
            if standing == "no" or "no-sign-off" in codes
            else []
        )
        extra += [self.missing_practice(login, level, day)] if "no-sign-off" in codes else []
        for more, open_codes in extra:
            codes, unsure = codes + more, unsure | open_codes
        lapses_on = self.lapses_on(login, level, day, question) if standing == "alone" else None
        because, either = (
            self.failing(login, level, lapses_on, question) if lapses_on else ([], set())
        )
        return {
            "login": login,
            "standing": standing,
            "lapses_on": lapses_on.isoformat() if lapses_on else None,
            "codes": sorted(set(codes)),
            "unsure": sorted(unsure),
            "lapse_codes": sorted({*because, *either}),
        }

    def lapses_on(self, login, level, day, question):
        end = months(day, 600)
        while day < end:
            day += timedelta(days=1)
            if not self.is_alone(login, level, day, question):
                return day
        return None


def answers(shop: dict, ask: list[dict], now: datetime, time_zone: str = "UTC") -> list[dict]:
    """One answer for each question, every person of the shop in it; `now` is when it is asked."""
    told = []
    for question in ask:
        instant = question.get("known_at")
        known_at = datetime.fromisoformat(instant) if instant else now
        day = day_of(question.get("on")) or now.astimezone(ZoneInfo(time_zone)).date()
        known, variant = Known(shop, known_at, time_zone), question.get("variant") or {}
        people = [
            known.person_answer(login, question["level"], day, variant) for login in known.people
        ]
        told.append({"level": question["level"], "on": day.isoformat(), "people": people})
    return told


def judge(
    folder: Path, ask: list[dict], brought_at: datetime, time_zone: str = "UTC"
) -> list[dict]:
    """The answers for a folder brought in, and asked about, at `brought_at`."""
    return answers(read_folder(folder, brought_at, time_zone), ask, brought_at, time_zone)


if __name__ == "__main__":
    from tests.training.folder_shop import compare_many

    sys.exit(compare_many(int(sys.argv[1]), int(sys.argv[2])))
