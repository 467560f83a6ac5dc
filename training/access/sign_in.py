"""Who may sign in: someone who works here today?"""

from typing import Any

from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from procedures.records.statements import as_object, columns_of, prepare_once
from training.models import User, Workshop

_OF_PERSON = columns_of(User)


@prepare_once
def _ask_person(pk: int) -> QuerySet[Any]:
    of_workshop = (f"workshop__{name}" for name in columns_of(Workshop))
    return User.objects.filter(pk=pk).order_by().values_list(*_OF_PERSON, *of_workshop)


class ShopBackend(ModelBackend):
    """Django's own password check; an account that was closed, or whose person has left, is refused
    at once.

    Django asks again on every request, so that a session ends with the account.
    """

    def get_user(self, user_id: int) -> User | None:
        """Who this session belongs to, with the workshop, whose clock every page goes by."""
        for row in _ask_person(user_id):
            found = as_object(User, row[: len(_OF_PERSON)])
            found.workshop = as_object(Workshop, row[len(_OF_PERSON) :])
            return found if self.user_can_authenticate(found) else None
        return None

    def user_can_authenticate(self, user: User | AnonymousUser | None) -> bool:
        # By today's date and not a stored mark, so that a last day ends the account without
        # anybody's hand.
        return isinstance(user, User) and user.may_sign_in()
