"""Names of kinds of medicine, for the line "call the unit before you change this medicine"."""

from __future__ import annotations

from generator.words.message import Message

_NOTE = "A kind of medicine, put into “Call the unit before you change this medicine: …”."
_CLASSES = {
    name: Message(f"A.class.{name}", english, _NOTE)
    for name, english in (
        ("anticoagulant", "blood thinner"),
        ("antiplatelet", "tablets against blood clots"),
        ("diabetes", "diabetes medicine"),
        ("insulin", "insulin"),
        ("sglt2", "diabetes tablets of the SGLT2 kind"),
        ("glp1", "medicine of the GLP-1 kind, not insulin"),
        ("iron", "iron tablets"),
        ("lithium", "lithium"),
        ("epilepsy", "medicine against fits"),
        ("other", "the medicine the nurse spoke about"),
    )
}
MESSAGES = tuple(_CLASSES.values())


def is_medicine(name: str) -> bool:
    """Whether we have a word for a kind of medicine of that name."""
    return name in _CLASSES and name != "other"


def class_name(name: str) -> Message:
    """The name of a class; one we have no word for is "the medicine the nurse spoke about"."""
    return _CLASSES.get(name, _CLASSES["other"])
