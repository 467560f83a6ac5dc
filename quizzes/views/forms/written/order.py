"""How is a question typed in which steps are put in order?"""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext

from procedures.views.forms.language import choose_from
from quizzes.kinds.put_in_order import MOST_STEPS, ORDER
from quizzes.views.forms.written.common import Written, WrittenForm


class OrderWritten(WrittenForm):
    kind: ClassVar[str] = ORDER

    def steps_help(self) -> str:
        return gettext(
            "Tick the steps to be put in order, 2 to {most} of them. Every order in which the "
            "rehearsal finds no error is right."
        ).format(most=MOST_STEPS)

    def add_fields(self) -> None:
        chosen = self.was.get("variant", {})
        offered = dict(self.offers.forks)
        self.questions = [*offered, *(name for name in chosen if name not in offered)]
        for number, name in enumerate(self.questions):
            answers = [("", gettext("not said")), *((one, one) for one in offered.get(name, ()))]
            unknown = gettext("{name} (there is no such answer)")
            self.fields[f"fork_{number}"] = forms.ChoiceField(
                required=False,
                label=name,
                choices=choose_from(answers, [chosen.get(name, "")], unknown),
                initial=chosen.get(name, ""),
                help_text=gettext("For which fork the steps are put in order."),
            )

    def own_fields(self) -> tuple[str, ...]:
        return tuple(f"fork_{number}" for number in range(len(self.questions)))

    def own_entry(self) -> Written:
        said = {
            name: self.cleaned_data[f"fork_{number}"]
            for number, name in enumerate(self.questions)
            if self.cleaned_data.get(f"fork_{number}")
        }
        return {"variant": said} if said else {}

    @classmethod
    def own_initial(cls, entry: Written) -> dict[str, Any]:
        return {}
