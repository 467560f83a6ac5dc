"""Which day is so many months or days on?"""

from calendar import monthrange
from datetime import MAXYEAR, MINYEAR, date, timedelta
from functools import lru_cache


@lru_cache(maxsize=65536)
def add_months(day: date, number: int) -> date:
    """Return the same day `number` months on (or back, below 0), or the last day of that month
    where it has none.

    Beyond the calendar's ends the first or last day of the calendar comes back. The same few
    thousand are asked again and again, in a shop of any size, and are remembered.
    """
    year, month = divmod(day.year * 12 + day.month - 1 + number, 12)
    # `valid_months` may be 1200: a sum past the calendar must end the answer, not raise.
    if year > MAXYEAR:
        return date.max
    if year < MINYEAR:
        return date.min
    if day.day <= 28:  # every month has it; saves the look into the calendar for most days
        return date(year, month + 1, day.day)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def add_days(day: date, number: int) -> date:
    """Return the day `number` days on, or the calendar's last day beyond its end."""
    return day + timedelta(days=number) if number <= (date.max - day).days else date.max


def first_day_out_of_window(day: date, number: int) -> date:
    """Return the first day t with months(t, -number) later than `day`: when an entry of that day
    leaves the window.

    The window is out when months(t, -number) has reached the day after `day`. That is the day
    after, `number` months on, where that month has such a day; else the first of the month that
    follows it.
    """
    after = add_days(day, 1)
    reached = add_months(after, number)
    return reached if reached.day == after.day else add_days(reached, 1)
