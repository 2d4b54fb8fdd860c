"""What a job waits for: a failed part seen, and the need it makes."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from uuid import uuid4

from partsdb.errors import BadInput
from partsdb.family import families
from partsdb.records import Inquiry, Job, Wanted
from partsdb.results import Known
from partsdb.services.inquiries import Said, look_up, new_inquiry


def want(
    job: Job, said: Said, now: datetime, *, title: str, hours: float, exists: float
) -> tuple[Inquiry, Wanted]:
    """The inquiry and the need, to be stored together. Raises BadInput when there is nothing to go on."""
    place = replace(said.place, machine_id=said.place.machine_id or job.machine_id)
    inquiry = new_inquiry(replace(said, place=place), now)
    return inquiry, wanted_for(job, inquiry, title or _title(inquiry), hours, exists)


def wanted_for(job: Job, inquiry: Inquiry, title: str, hours: float, exists: float = 1.0) -> Wanted:
    """The need an inquiry makes for a job."""
    return Wanted(str(uuid4()), job.id, inquiry.id, title, hours, exists=exists)


def _title(inquiry: Inquiry) -> str:
    found = look_up(inquiry, Known(), advise=False)
    if found.family is None or found.spec is None:
        raise BadInput("it can't be told what is wanted", "Say so with --title, or the kind with --kind")
    return families()[found.family.name].title_of(found.spec)
