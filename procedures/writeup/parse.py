"""What does the text of a write-up say, and what in it cannot be read?"""

from typing import Any

from procedures.writeup.body import Body, read_body
from procedures.writeup.fields import FieldReader
from procedures.writeup.header import HeaderReader
from procedures.writeup.ids import is_id, step_ids
from procedures.writeup.model import Fault, Phase, Step, WriteUp
from procedures.writeup.remarks import remark
from procedures.writeup.sections import LONGEST, RULER, Section, Sheet, cut

ALARMS = ("danger", "warning")


def parse(text: str) -> WriteUp:
    """The write-up that a text describes. Never raises: what cannot be read is left out and named
    under `faults`.
    """
    if len(text) > LONGEST:
        message = remark("text-too-long", most=LONGEST)
        return WriteUp(faults=(Fault("bad-header", "error", None, RULER, 1, message),))
    sheet = cut(text)
    header = HeaderReader()
    header.read(sheet)
    values: dict[str, Any] = dict(header.values)
    faults = list(header.faults)
    phases, steps = _sections(sheet, values, faults)
    return WriteUp(
        **values,
        phases=phases,
        steps=steps,
        faults=tuple(faults),
        lines=tuple(header.lines.items()),
    )


def level_of(text: str) -> str:
    """The level that the header of a text names, empty where it names none; the rest of the text is
    not read.
    """
    if len(text) > LONGEST:
        return ""
    header = HeaderReader()
    header.read(cut(text))
    return str(header.values.get("level", ""))


def _sections(
    sheet: Sheet, values: dict[str, Any], faults: list[Fault]
) -> tuple[tuple[Phase, ...], tuple[Step, ...]]:
    """The phases and steps of the text; the introduction goes to `values`, what cannot be read to
    `faults`.
    """
    sections = [section for section in sheet.sections if section.depth == 3]
    # For all steps at once: an id is free only when every written one is known.
    ids = iter(step_ids(sections))
    phases: list[Phase] = []
    steps: list[Step] = []
    for section in sheet.sections:
        if section.depth == 3:
            phase = phases[-1].title if phases else ""
            steps.append(_step(sheet, section, next(ids), phase, len(steps) + 1, faults))
            continue
        body = read_body(sheet, section.lines, None, of_phase=section.depth == 2)
        faults.extend(body.faults)
        if section.depth == 0:
            values |= {"intro": body.text, "cautions": tuple(body.cautions)}
        else:
            phases.append(Phase(section.title, section.line, body.text, tuple(body.cautions)))
    if sheet.open_fence:
        within = steps[-1].id if steps and sheet.sections[-1].depth == 3 else None
        row = sheet.line(sheet.open_fence).strip()
        said = remark("fence-without-end", mark=row)
        faults.append(Fault("bad-field", "error", within, row, sheet.open_fence, said))
    return tuple(phases), tuple(steps)


def _step(
    sheet: Sheet, section: Section, step_id: str, phase: str, number: int, faults: list[Fault]
) -> Step:
    fields = FieldReader(step_id)
    start = fields.read(sheet, section.lines)
    body = read_body(sheet, range(start, section.lines.stop), step_id)
    faults.extend(
        [
            *_id_faults(section, step_id),
            *fields.faults,
            *body.faults,
            *_late_cautions(body, step_id),
        ]
    )
    values: dict[str, Any] = {
        name: tuple(found)
        for name, found in fields.values.items()
        if name not in ("critical", "hold")
    }
    return Step(
        id=step_id,
        title=section.title,
        phase=phase,
        number=number,
        line=section.line,
        # A reason on two lines is one reason: a field on several lines adds up.
        critical=" ".join(fields.values.get("critical", ())),
        hold="hold" in fields.values,
        cautions=tuple(body.cautions),
        amounts=tuple(body.amounts),
        body=body.text,
        lines=fields.lines,
        **values,
    )


def _id_faults(section: Section, step_id: str) -> list[Fault]:
    written = section.written_id
    # One that differs was taken, or is no id; the step goes on under another.
    if written is None or written == step_id:
        return []
    if is_id(written):
        message = remark("id-taken", id=written)
        return [Fault("duplicate-id", "error", step_id, written, section.line, message)]
    message = remark("bad-id", id=written)
    return [Fault("bad-field", "error", step_id, written, section.line, message)]


def _late_cautions(body: Body, step_id: str) -> list[Fault]:
    """A DANGER or WARNING that a reader meets only after having begun to act."""
    return [
        Fault(
            "caution-after-action",
            "error",
            step_id,
            caution.title,
            caution.line,
            remark("caution-after-action", word=caution.word.upper(), title=caution.title),
        )
        for caution in body.cautions
        if caution.word in ALARMS and 0 < body.first_text < caution.line
    ]
