"""Which rows does the lowest app keep?"""

from procedures.models.proofing import ProofAnswer
from procedures.models.writeups import NAME, Asks, Revision, RevisionQuerySet, ShopRules, WriteUp

__all__ = ["NAME", "Asks", "ProofAnswer", "Revision", "RevisionQuerySet", "ShopRules", "WriteUp"]
