"""When did somebody last look?"""

from django.db import models

from training.models.people import User


class Visit(models.Model):
    """The last day on which somebody opened their bench, and the last one before that day. Not
    evidence of anything.
    """

    person = models.OneToOneField(
        User, on_delete=models.CASCADE, primary_key=True, related_name="visit"
    )
    on = models.DateField()
    # Two days, since "new since you last looked" must not empty itself on the second look of a day.
    before = models.DateField(null=True)

    def __str__(self) -> str:
        return f"{self.person}, {self.on}"
