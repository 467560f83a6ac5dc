"""What would one ask about a random shop, most of all about the days and instants where an answer
turns?
"""

from datetime import UTC, date, datetime, time, timedelta


class Asking:
    """Draws questions about one grown shop brought in at `brought_at`."""

    def __init__(self, shop, brought_at):
        self.shop, self.rng, self.chance, self.brought_at = shop, shop.rng, shop.chance, brought_at

    def any_turn(self):
        return datetime.combine(self.shop.day(), time(self.rng.choice((0, 9, 23)), 45), UTC)

    def late_turn(self):
        return self.brought_at + timedelta(days=self.rng.randint(-200, 400))

    def near_turn(self):
        """An instant just before, at or after something became known: a void, a lift, another
        entry, a release in one zone and not in another.
        """
        written = [
            row.get("lift_recorded_at") or row["recorded_at"]
            for kind in ("voids", "standdowns")
            for row in self.shop.rows[kind]
        ]
        written += [
            row["recorded_at"]
            for row in self.rng.sample(
                self.shop.rows["signoffs"], min(2, len(self.shop.rows["signoffs"]))
            )
        ]
        written += [
            at
            for row in self.rng.sample(
                self.shop.rows["appointments"], min(3, len(self.shop.rows["appointments"]))
            )
            for at in row.get("ended_at", "").split(";")
        ]
        written += [
            row.get("confirmation_at")
            for row in self.rng.sample(self.shop.rows["jobs"], min(2, len(self.shop.rows["jobs"])))
        ]
        turns = [datetime.fromisoformat(text) for text in written if text]
        released = [
            datetime.combine(row["released"], time(12), UTC)
            for row in self.shop.revisions
            if row["asks"] != "nothing"
        ]
        if released and (not turns or self.chance(0.4)):
            return self.rng.choice(released) + timedelta(
                hours=self.rng.choice((-22, -15, -12, -11, -6, 6))
            )
        return self.rng.choice(turns or [self.brought_at]) + timedelta(
            minutes=self.rng.choice((-1, 0, 1))
        )

    def question(self):
        level = self.rng.choice(self.shop.names())
        first = date(2023, 6, 1) if self.chance(0.7) else date(2025, 1, 1)
        asked = {
            "level": level,
            "on": str(
                self.shop.day(
                    first, date(2027, 12, 31) if self.chance(0.5) else self.brought_at.date()
                )
            ),
        }
        if self.chance(0.5):
            asked["known_at"] = self.shop.written(
                self.rng.choice((self.any_turn, self.late_turn, self.near_turn))()
            )
        named = {
            name: self.rng.choice(options)
            for name, options in self.shop.variants_of(level).items()
            if self.chance(0.6)
        }
        if named or self.chance(0.5):
            asked["variant"] = named
        return asked


def questions(shop, brought_at, count=20):
    """`count` questions in the shape that `may --ask` takes."""
    asking = Asking(shop, brought_at)
    return [asking.question() for _ in range(count)]
