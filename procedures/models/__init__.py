"""Which rows does the lowest app keep?"""

from procedures.models.desk import EarlierText, Typed
from procedures.models.proofing import ProofAnswer
from procedures.models.studying import ChosenFork
from procedures.models.writeups import NAME, Asks, Revision, RevisionQuerySet, ShopRules, WriteUp

__all__ = ["NAME", "Asks", "ChosenFork", "EarlierText", "ProofAnswer", "Revision", "RevisionQuerySet", "ShopRules", "Typed", "WriteUp"]
