"""How does a template write a day? By these filters only, in each reader's own order."""

from datetime import date, datetime

from django import template
from django.utils import timezone

from procedures.records.days import reader

register = template.Library()


@register.filter
def day(value: date | None) -> str:
    """Return a day: 30 Nov 2026."""
    return reader.say_day(value) if value else ""


@register.filter
def full_day(value: date | None) -> str:
    """Return a day with its weekday: Monday, 30 Nov 2026."""
    return reader.say_full_day(value) if value else ""


@register.filter
def near_day(value: date | None, width: str = "") -> str:
    """Return a day without its year, with its weekday: Mon 30 Nov, or `:"full"` Monday 30 Nov."""
    return reader.say_near_day(value, in_full=width == "full") if value else ""


@register.filter
def weekday(value: date | None) -> str:
    """Return a weekday: Monday."""
    return reader.say_weekday(value) if value else ""


@register.filter
def month(value: date | None) -> str:
    """Return a month: November 2026."""
    return reader.say_month(value) if value else ""


@register.filter
def clock(value: datetime | None) -> str:
    """Return a time on the workshop's wall: 14:05."""
    return reader.say_clock(value) if value else ""


@register.filter
def moment(value: datetime | None) -> str:
    """Return a day and a time on the workshop's wall: 30 Nov 2026, 14:05."""
    return reader.say_moment(value) if value else ""


@register.filter
def short_moment(value: datetime | None) -> str:
    """Return a day without its year, and a time: 30 Nov, 14:05."""
    return f"{reader.say_short_day(value)}, {reader.say_clock(value)}" if value else ""


@register.simple_tag
def tag_for_scripts() -> str:
    """Return the language tag by which scripts write their days."""
    return reader.tag_for_scripts()


@register.simple_tag
def zone_for_scripts() -> str:
    """Return the workshop's time zone, in which scripts write their times."""
    return timezone.get_current_timezone_name()
