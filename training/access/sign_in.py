"""Who may sign in: someone who works here today?"""

from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.models import AnonymousUser

from training.models import User


class ShopBackend(ModelBackend):
    """Django's own password check; an account that was closed, or whose person has left, is refused
    at once.

    Django asks again on every request, so that a session ends with the account.
    """

    def get_user(self, user_id: int) -> User | None:
        """Who this session belongs to, with the workshop, whose clock every page goes by."""
        found = User.objects.select_related("workshop").filter(pk=user_id).first()
        return found if self.user_can_authenticate(found) else None

    def user_can_authenticate(self, user: User | AnonymousUser | None) -> bool:
        # By today's date and not a stored mark, so that a
        # last day ends the account without anybody's hand.
        return isinstance(user, User) and user.may_sign_in()
