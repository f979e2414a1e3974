"""The words of the card for whoever takes the patient home. It is read by another person, on another phone."""

from __future__ import annotations

from generator.words.message import Message

_CARD = (
    "On the card for the person who takes the patient home; “the patient” is somebody else than the reader."
)

HEADING = Message("B.companion.heading", "For whoever takes the patient home", "Heading of a card.")
FOR = Message("B.companion.for", "Show this part to that person, or send the link to this page.", _CARD)
REACHABLE = Message("B.companion.reachable", "Be reachable by phone on {date} from {time}.", _CARD)
READY = Message(
    "B.companion.ready",
    "The patient is ready at about: {when}. It may be later.",
    f"{_CARD} {{when}}: a date and a time.",
)
PLACE = Message("B.companion.place", "Come to {place}.", _CARD)
HOME = {
    name: Message(f"A.companion.home-{name}", english, _CARD)
    for name, english in (
        ("adult", "Take the patient home."),
        ("car-or-taxi-with-adult", "Take the patient home by car or taxi. No bus or train."),
        ("car-with-adult", "Take the patient home by car. No taxi, bus or train."),
        ("adult-or-transport", "Take the patient home, unless the patient transport does."),
    )
}
STAY = {
    name: Message(f"A.companion.stay-{name}", english, _CARD)
    for name, english in (
        ("overnight", "Stay with the patient, all night too."),
        ("some-hours", "Stay with the patient for some hours. Ask the staff for how long."),
        ("as-told", "Ask the staff whether somebody must stay with the patient."),
    )
}
NOT_ALONE = Message(
    "A.companion.not-alone",
    "Somebody must be with the patient until at least: {when}.",
    f"{_CARD} {{when}}: a date and a time.",
)
SHEET = Message(
    "B.companion.sheet", "Ask for a written sheet. The patient may forget what the doctor says.", _CARD
)
WATCH = Message(
    "A.companion.watch", "Watch for the signs under “Afterwards”, such as bleeding, bad pain, fever.", _CARD
)
CALL = Message(
    "A.companion.call", "Are you unsure? Call the unit, at any number under “When to call”.", _CARD
)
EMERGENCY = Message("A.companion.emergency", "An emergency? Ring {emergency}.", _CARD)
TICKS = Message("C.companion.ticks", "What is ticked on the other phone is not seen here.", _CARD)
MESSAGES = (
    HEADING, FOR, REACHABLE, READY, PLACE, *HOME.values(), *STAY.values(), NOT_ALONE, SHEET, WATCH, CALL,
    EMERGENCY, TICKS,
)  # fmt: skip
