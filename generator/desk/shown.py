"""Shown: which messages the plans of a protocol say, so that one regimen's words can be reviewed before all."""

from __future__ import annotations

from generator.clinic.booking import Booking
from generator.clinic.protocol import Protocol
from generator.materials.unit_folder import UnitFolder
from generator.page.booklet import Parts, plan_messages
from generator.page.life import source_wording
from generator.page.plan import Identity, Plan
from generator.plan.samples import Sample, samples_of
from generator.words.message import SOURCE_TAG, Message


def messages_of(folder: UnitFolder, protocol: Protocol, parts: Parts) -> list[Message]:
    """What the sample plans of a protocol show, and every page that may take their place, in reading order.

    A booking may show more: a factor's rows, an instruction that a nurse picked.
    """
    found: dict[str, Message] = {}
    samples = [sample for sample in samples_of(protocol, folder.unit) if sample.timetable.steps]
    # Plans with the same steps say the same messages, at other times.
    for sample in {_shape(sample): sample for sample in samples}.values():
        found |= {message.id: message for message in plan_messages(_plan(folder, protocol, sample), parts)}
    return list(found.values())


def _shape(sample: Sample) -> tuple[tuple[str, ...], ...]:
    return tuple((step.id, step.kind, *step.amounts) for step in sample.timetable.steps)


def _plan(folder: UnitFolder, protocol: Protocol, sample: Sample) -> Plan:
    booking = Booking("-", sample.start, protocol.id, (SOURCE_TAG,), travel_minutes=sample.travel_minutes)
    return Plan(
        unit=folder.unit,
        protocol=protocol,
        advice=folder.advice,
        booking=booking,
        timetable=sample.timetable,
        identity=Identity("-" * 26, "001", 1, "000000", sample.start),
        wordings=(source_wording(),),
        base_url="http://localhost/",
        instructions=folder.stated.instructions,
    )
