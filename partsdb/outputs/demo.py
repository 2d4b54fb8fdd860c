"""The demo's scenes as text: each result the way the command that gives it would show it."""

from __future__ import annotations

from partsdb.equivalence import SharedCause
from partsdb.family import families
from partsdb.model import Plan
from partsdb.outputs.finding import cause_lines
from partsdb.outputs.lists import history_lines
from partsdb.outputs.ordering import plan_lines
from partsdb.outputs.report import found_lines
from partsdb.outputs.words import wrapped
from partsdb.results import Found, MachineRecord, Scene

HEADINGS = {"one cause?": "THE MACHINE", "the record": "THE MACHINE'S RECORD"}


def scene_lines(scene: Scene, width: int) -> list[str]:
    """One scene: its heading, what is told first, the result."""
    if isinstance(scene.data, str):
        return wrapped(" ".join(scene.data.split()), width)
    heading = HEADINGS.get(scene.title, scene.title.upper())
    told = [line for text in scene.said for line in wrapped(text, width)]
    return [f"=== {heading} ", *told, *_result_lines(scene, width)]


def _result_lines(scene: Scene, width: int) -> list[str]:
    match scene.data:
        case Found() as found:
            return found_lines(found, families(), width, most=2)
        case Plan() as plan:
            return plan_lines(plan, scene.needs, scene.zone, width)
        case MachineRecord() as record:
            places = {p.id: p.name for p in record.positions}
            return history_lines(record.machine, places, record.decisions, record.register, scene.zone, width)
        case tuple() as causes:
            return cause_lines([cause for cause in causes if isinstance(cause, SharedCause)], width)
    raise TypeError(f"no scene shows a {type(scene.data).__name__}")
