"""From a stored job to what the planner is asked."""

from __future__ import annotations

from dataclasses import replace

from partsdb.model import Spec, Value
from partsdb.money import money
from partsdb.records import Job
from partsdb.results import Known
from partsdb.services.entering import shop_from
from partsdb.services.inquiries import Said, new_inquiry
from partsdb.services.loading import JobFile
from partsdb.services.orders import Ask, plan_job
from partsdb.services.wanting import wanted_for
from support import stored

SHOP = shop_from("Ropewalk", zone="Europe/London", country="GB")


def test_a_stored_job_brings_its_due_day_hours_and_costs_and_an_ask_its_target() -> None:
    due = stored.NOW.replace(day=30)
    job = Job("j", "ropes", "m", due, 5.0, money("100", "GBP"), money("500", "GBP"))
    inquiry = new_inquiry(Said(("25 MFD", "440 VAC"), kind="capacitor"), stored.NOW)
    file = JobFile(job, (wanted_for(job, inquiry, "run capacitor", 1.0),), (inquiry,))
    spec = Spec("ac_capacitor", (Value("capacitance", 25e-6, 25e-6), Value("voltage_ac", 440.0, 440.0)))
    part = replace(stored.plain_part(), spec=spec)
    known = Known(shop=SHOP, parts=(part,))
    made = plan_job(file, known, stored.NOW, Ask(target=0.5, runs=100))
    asked = made.problem
    assert (asked.deadline, asked.job_hours, asked.late_day, asked.lost_order, asked.target) == (
        due,
        5.0,
        job.late_day,
        job.lost_order,
        0.5,
    )
