"""Who may do what with the write-ups? Each act is one object: it says in a sentence why somebody
may not, or that nothing is against it.

The action asks it and refuses, the page asks it and leaves its button out, and the door asks it
before a page is shown; so the three cannot disagree. What only the text can tell (a rehearsal, a
proofing) is asked where the act is done.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

from django.core.exceptions import PermissionDenied
from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

    from procedures.models import Revision


class Person(Protocol):
    """Somebody signed in, as far as this app asks."""

    @property
    def pk(self) -> Any: ...

    def has_perm(self, perm: str) -> bool: ...


@dataclass(frozen=True, slots=True)
class Act:
    """Something that is done by those with a permission; `lacks` tells the others."""

    permission: str
    lacks: _StrPromise

    def why_not(self, by: Person) -> str:
        """Why this person may not do it, in a sentence; empty where nothing is against it."""
        return "" if by.has_perm(self.permission) else str(self.lacks)

    def is_open_to(self, by: Person) -> bool:
        """Whether nothing is against it."""
        return not self.why_not(by)

    def must_be_open_to(self, by: Person) -> None:
        """Raises PermissionDenied where something is, with that sentence."""
        if hindrance := self.why_not(by):
            raise PermissionDenied(hindrance)


_LACKS_WRITE = _("Your role does not allow you to write. Ask a senior mechanic or the owner.")
_LACKS_RELEASE = _("Your role does not allow you to release. Ask a senior mechanic or the owner.")
_RELEASED = _("This revision is released and cannot be changed. Start the next revision.")

WRITE = Act("procedures.write", _LACKS_WRITE)
"""To write drafts, the shop's rules and its drawings, and to see what is not released."""


@dataclass(frozen=True, slots=True)
class ActOnRevision:
    """Something that is done with a revision. Each says in `_against` what of the revision is
    against it.
    """

    act: Act

    def why_not(self, by: Person, revision: Revision) -> str:
        """Why this person may not do it with this revision, in a sentence; empty where nothing is
        against it.
        """
        return self.act.why_not(by) or str(self._against(by, revision))

    def is_open_to(self, by: Person, revision: Revision) -> bool:
        """Whether nothing is against it."""
        return not self.why_not(by, revision)

    def _against(self, by: Person, revision: Revision) -> _StrPromise | str:
        raise NotImplementedError


class Edit(ActOnRevision):
    """To change the text of a draft, and to send it to review."""

    def _against(self, by: Person, revision: Revision) -> _StrPromise | str:
        if revision.released_on is not None:
            return _RELEASED
        if revision.sent_to_review_at is not None:
            return _("This revision is in review. Send it back first, then change it.")
        return ""


class Type(ActOnRevision):
    """To type at a desk, which is kept for oneself."""

    def _against(self, by: Person, revision: Revision) -> _StrPromise | str:
        if revision.released_on is None:
            return ""
        return _(
            "This revision is released and cannot be changed. Copy your text into the "
            "next revision."
        )


class AnswerProofing(ActOnRevision):
    """To answer a finding of the proofing."""

    def _against(self, by: Person, revision: Revision) -> _StrPromise | str:
        if revision.released_on is None:
            return ""
        return _("This revision is released. You can answer findings only on a draft or in review.")


class ConfirmValues(ActOnRevision):
    """To say that a value of the example holds for this shop."""

    def _against(self, by: Person, revision: Revision) -> _StrPromise | str:
        return "" if revision.released_on is None else _RELEASED


class SendBack(ActOnRevision):
    """To make a draft again of what is in review."""

    def _against(self, by: Person, revision: Revision) -> _StrPromise | str:
        if revision.released_on is None and revision.sent_to_review_at is not None:
            return ""
        return _("This revision is not in review, so it cannot be sent back.")


class Release(ActOnRevision):
    """To release what another person wrote; the rehearsal and the proofing are asked besides."""

    def why_not(self, by: Person, revision: Revision) -> str:
        """That it is released already is told first, whoever asks."""
        if revision.released_on is not None:
            return str(_("This revision is released already."))
        return ActOnRevision.why_not(self, by, revision)

    def _against(self, by: Person, revision: Revision) -> _StrPromise | str:
        if revision.sent_to_review_at is None:
            return _("This is still a draft. Send it to review first.")
        # Everybody who changed a word, not only the last: review is by another pair of eyes.
        if by.pk in (revision.author_id, *revision.writers):
            return _("You changed this draft, so another person must release it.")
        return ""


EDIT, TYPE, SEND_BACK = Edit(WRITE), Type(WRITE), SendBack(WRITE)
ANSWER_PROOFING, CONFIRM_VALUES = AnswerProofing(WRITE), ConfirmValues(WRITE)
READ_EXAMPLE = Act("procedures.release", _LACKS_RELEASE)
"""To say that something from the examples was gone through for this shop."""
RELEASE = Release(READ_EXAMPLE)


class AskMore(ActOnRevision):
    """To ask more of people for a change than was suggested: on a draft whoever writes, in review
    whoever may release it.
    """

    def _against(self, by: Person, revision: Revision) -> _StrPromise | str:
        if revision.released_on is not None:
            return _RELEASED
        if revision.sent_to_review_at is None:
            return ""
        refusal = RELEASE.why_not(by, revision)
        told = str(_("Only somebody who may release this can ask for more. {refusal}"))
        return told.format(refusal=refusal) if refusal else ""


class AskLess(ActOnRevision):
    """To ask less of people for a change than was suggested, with a reason."""

    def _against(self, by: Person, revision: Revision) -> _StrPromise | str:
        if against := ASK_MORE.why_not(by, revision):
            return against
        if revision.sent_to_review_at is None:
            return ""
        return _(
            "In review you can ask for more, not for less. To ask for less, send the revision back."
        )


ASK_MORE, ASK_LESS = AskMore(WRITE), AskLess(WRITE)


@dataclass(frozen=True, slots=True)
class StartNext:
    """To start the next revision of a write-up, beside what is released and being written."""

    act: Act

    def why_not(self, by: Person, *, is_released: bool, is_being_written: bool) -> str:
        """Why this person may not, in a sentence; empty where nothing is against it."""
        if against := self.act.why_not(by):
            return against
        if not is_released:
            told = _("This write-up has no released revision yet. Finish its first draft.")
            return str(told)
        if is_being_written:
            return str(_("This write-up has an open draft already. Finish that one first."))
        return ""


START_NEXT = StartNext(WRITE)
