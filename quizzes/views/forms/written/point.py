"""How is a question typed that asks for a spot on a drawing?"""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.views.forms.plain import PlainForm
from procedures.views.forms.rules import RowTyped
from quizzes.kinds.kind import FARTHEST
from quizzes.kinds.point_at import POINT
from quizzes.kinds.spots import COLUMNS, cells
from quizzes.views.forms.written.common import RowKind, Written, WrittenForm, with_drawings

LEAST, MOST = -FARTHEST + 1, FARTHEST - 1


class RegionRow(PlainForm):
    """A right region in units of the drawing: a rectangle, or a circle where a radius is said."""

    x = forms.IntegerField(min_value=LEAST, max_value=MOST, label=_("Across"))
    y = forms.IntegerField(min_value=LEAST, max_value=MOST, label=_("Down"))
    width = forms.IntegerField(required=False, min_value=1, max_value=MOST, label=_("Width"))
    height = forms.IntegerField(required=False, min_value=1, max_value=MOST, label=_("Height"))
    radius = forms.IntegerField(
        required=False, min_value=1, max_value=MOST, label=_("Radius, for a circle")
    )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        is_round = given.get("radius") is not None
        sides = [given.get("width") is not None, given.get("height") is not None]
        if not self.errors and (any(sides) if is_round else not all(sides)):
            raise forms.ValidationError(_("Say width and height, or the radius of a circle."))
        return given


class PointWritten(WrittenForm):
    kind: ClassVar[str] = POINT
    rows_after: ClassVar[str] = "cells"
    row_kinds = {
        "regions": RowKind(
            RegionRow, _("Right regions, in units of the drawing"), _("Add a region")
        )
    }

    drawing = forms.ChoiceField(label=_("Drawing to point at"))

    def add_fields(self) -> None:
        now = [self.was.get("drawing", "")]
        self.fields["drawing"].choices = self.offers.pick_drawing(now)  # type: ignore[attr-defined]
        self.fields["drawing"].help_text = with_drawings()
        self.fields["cells"] = forms.MultipleChoiceField(
            required=False, choices=self.offers.cell_names()
        )

    def own_fields(self) -> tuple[str, ...]:
        return ("drawing", "cells")

    @classmethod
    def own_initial(cls, entry: Written) -> dict[str, Any]:
        return {"drawing": entry.get("drawing", "")}

    @classmethod
    def rows_from(cls, entry: Written) -> dict[str, list[RowTyped]]:
        return {"regions": list(entry.get("regions", ()))}

    def own_entry(self) -> Written:
        regions = [
            {name: value for name, value in row.items() if value is not None}
            for row in self.typed("regions")
        ]
        return {"drawing": self.cleaned_data["drawing"], "regions": [*regions, *self._ticked()]}

    def _ticked(self) -> list[dict[str, int]]:
        """The cells that were ticked on the drawing, each as a region."""
        box, ticked = self.offers.box, self.cleaned_data.get("cells", ())
        if box is None:
            return []
        every = cells(box)
        width, height = box.width // COLUMNS, box.height // (len(every) // COLUMNS)
        return [
            {"x": cell.x - width // 2, "y": cell.y - height // 2, "width": width, "height": height}
            for cell in every
            if cell.name in ticked
        ]
