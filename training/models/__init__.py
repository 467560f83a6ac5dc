"""Which rows does the top app keep?"""

from training.models.accounts import (
    AccountChange,
    KnownDevice,
    OneTimeLink,
    SecondFactorRule,
    Session,
    Tries,
)
from training.models.benchwork import BenchPlace
from training.models.book import BookEntry, BookHead, newest_instant, shop_now
from training.models.calendars import CalendarAddress, CalendarEvent
from training.models.cards import Card
from training.models.entry import Entry
from training.models.entry_rules import DAYS_BACK, EntryRules, days_back
from training.models.evidence import (
    Appointment,
    AppointmentEnd,
    Job,
    JobConfirmation,
    JobTakenBack,
    Lift,
    Observation,
    PaperPass,
    Reading,
    ShownAgain,
    SignOff,
    StandDown,
    Void,
)
from training.models.front import PersonPhoto, ShopFront
from training.models.levels import DAYS, Absence, Level, LevelRules, Planned, Rota, Want, as_columns
from training.models.people import User, Workshop
from training.models.programs import ProgramToken
from training.models.refusals import RefusedSignIn
from training.models.reminders import AddressMail, MailWish, Reminder
from training.models.start import LeftForLater, StartStep
from training.models.taken import Taken
from training.models.visits import Visit
from training.models.voids import VoidAsked, VoidDecided

__all__ = [
    "DAYS",
    "DAYS_BACK",
    "Absence",
    "AccountChange",
    "AddressMail",
    "Appointment",
    "AppointmentEnd",
    "BenchPlace",
    "BookEntry",
    "BookHead",
    "CalendarAddress",
    "CalendarEvent",
    "Card",
    "Entry",
    "EntryRules",
    "Job",
    "JobConfirmation",
    "JobTakenBack",
    "KnownDevice",
    "LeftForLater",
    "Level",
    "LevelRules",
    "Lift",
    "MailWish",
    "Observation",
    "OneTimeLink",
    "PaperPass",
    "PersonPhoto",
    "Planned",
    "ProgramToken",
    "Reading",
    "RefusedSignIn",
    "Reminder",
    "Rota",
    "SecondFactorRule",
    "Session",
    "ShopFront",
    "ShownAgain",
    "SignOff",
    "StandDown",
    "StartStep",
    "Taken",
    "Tries",
    "User",
    "Visit",
    "Void",
    "VoidAsked",
    "VoidDecided",
    "Want",
    "Workshop",
    "as_columns",
    "days_back",
    "newest_instant",
    "shop_now",
]
