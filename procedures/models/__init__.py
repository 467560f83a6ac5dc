"""Which rows does the lowest app keep?"""

from procedures.models.comparing import AskedOfChange
from procedures.models.desk import EarlierText, Typed
from procedures.models.drawings import PICTURE_NAME, Drawing, Kind
from procedures.models.examples import ConfirmedValue, Example, Thing
from procedures.models.proofing import ProofAnswer
from procedures.models.studying import ChosenFork
from procedures.models.writeups import NAME, Asks, Revision, RevisionQuerySet, ShopRules, WriteUp

__all__ = [
    "NAME",
    "PICTURE_NAME",
    "AskedOfChange",
    "Asks",
    "ChosenFork",
    "ConfirmedValue",
    "Drawing",
    "EarlierText",
    "Example",
    "Kind",
    "ProofAnswer",
    "Revision",
    "RevisionQuerySet",
    "ShopRules",
    "Thing",
    "Typed",
    "WriteUp",
]
