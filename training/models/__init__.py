"""Which rows does the top app keep?"""

from training.models.benchwork import BenchPlace, SentJob, SentObservation
from training.models.book import BookEntry, BookHead, newest_instant, shop_now
from training.models.cards import Card
from training.models.evidence import (
    Appointment,
    Entry,
    Job,
    Lift,
    Observation,
    PaperPass,
    Reading,
    ShownAgain,
    SignOff,
    StandDown,
    Void,
)
from training.models.levels import DAYS, Absence, Level, LevelRules, Planned, Rota, Want
from training.models.people import User, Workshop
from training.models.visits import Visit
from training.models.voids import VoidAsked, VoidDecided

__all__ = [
    "DAYS",
    "Absence",
    "Appointment",
    "BenchPlace",
    "BookEntry",
    "BookHead",
    "Card",
    "Entry",
    "Job",
    "Level",
    "LevelRules",
    "Lift",
    "Observation",
    "PaperPass",
    "Planned",
    "Reading",
    "Rota",
    "SentJob",
    "SentObservation",
    "ShownAgain",
    "SignOff",
    "StandDown",
    "User",
    "Visit",
    "Void",
    "VoidAsked",
    "VoidDecided",
    "Want",
    "Workshop",
    "newest_instant",
    "shop_now",
]
