"""Which rows does the lowest app keep?"""

from procedures.models.writeups import NAME, Asks, Revision, RevisionQuerySet, ShopRules, WriteUp

__all__ = ["NAME", "Asks", "Revision", "RevisionQuerySet", "ShopRules", "WriteUp"]
