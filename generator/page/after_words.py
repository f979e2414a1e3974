"""The words about the time after the examination. No number is ours: each comes from the unit's aftercare.toml.

CAREFUL are those that need no file: they stand where nothing is signed, and on pages that must always be possible.
"""

from __future__ import annotations

from generator.words.message import Message

_AFTER = "Under the heading “Afterwards”."
_NOT = "After medicine that makes the patient sleepy; in a list under a line that says for how long."
DONTS = {
    "drive": Message("A.after.drive", "Do not drive or ride a bicycle.", _NOT),
    "alcohol": Message("A.after.alcohol", "Do not drink alcohol.", _NOT),
    "sign": Message("A.after.sign", "Do not sign anything important.", _NOT),
    "alone": Message("A.after.alone", "Do not stay alone, or care for children alone.", _NOT),
}
SLEEPY_HEADING = Message("A.after.sleepy", "After medicine that makes you sleepy", "Heading.")
UNTIL_TOLD = Message(
    "A.after.until-told",
    "Did you have medicine that makes you sleepy? Until the unit allows it:",
    "Before a list of what not to do.",
)
FROM_HOME = Message(
    "A.after.hours-home",
    "For {n} hour after you leave the unit:",
    "Before a list of what not to do.",
    other="For {n} hours after you leave the unit:",
)
FROM_DOSE = Message(
    "A.after.hours-dose",
    "For {n} hour after your last dose of that medicine:",
    "Before a list of what not to do. That medicine: the one that makes the patient sleepy.",
    other="For {n} hours after your last dose of that medicine:",
)
EARLIEST = Message(
    "A.after.earliest",
    "This lasts until at least: {when}. Leaving the unit later? Then it lasts longer.",
    "After a list of what not to do. {when}: a date and a time.",
)
EARLIEST_DOSE = Message(
    "A.after.earliest-dose",
    "This lasts until at least: {when}. Ask when the last sleepy medicine was given.",
    "After a list of what not to do. {when}: a date and a time.",
)
ASK_DOSE = Message(
    "A.after.ask-dose", "Ask the staff when you had the last dose of the sleepy medicine.", _AFTER
)
PLANNED = Message(
    "A.after.planned",
    "The times below hold for what is planned. Given something else? Ask the staff.",
    "A kind of sedation stands before it.",
)
LONGEST = Message(
    "A.after.longest",
    "This page does not know what you were given. So it states the longest times.",
    _AFTER,
)
NO_WAIT = Message(
    "A.after.no-wait", "After what is planned there is no waiting time, unless the staff say so.", _AFTER
)
WATCH_HEADING = Message("A.after.watch-heading", "How long to watch for warning signs", "Heading.")
WATCH = {
    name: Message(f"A.after.watch-{name}", english, "Under “How long to watch for warning signs”.")
    for name, english in (
        ("biopsy", "After tissue was taken: until {date}."),
        ("polyp", "After a polyp was taken away: until {date}."),
        ("thinner", "After a polyp was taken away, with a blood thinner: until {date}."),
        ("untold", "Not told what was done? Watch until {date}."),
    )
}
WATCH_ASK = Message("A.after.watch-ask", "Watch for the signs below. Ask the unit until which day.", _AFTER)
USUAL_HEADING = Message("B.after.usual-heading", "What is usual", "Heading.")
USUAL = (
    Message("B.after.wind-full", "Wind and a full feeling", "In the list “What is usual”."),
    Message("B.after.stool", "Loose stools, or none for some days", "In the list “What is usual”."),
    Message(
        "A.after.streaks",
        "Streaks of blood on the paper, if you take no blood thinner",
        "In the list “What is usual”.",
    ),
)
NEXT_HEADING = Message("B.after.next-heading", "Eating, medicines, lifting, travel", "Heading.")
MEALS = {
    "light": Message("A.after.meal-light", "Begin with a light meal, when the staff say you may.", _AFTER),
    "usual": Message("A.after.meal-usual", "Eat as usual, when the staff say you may.", _AFTER),
}
MEAL_ASK = Message("A.after.meal-ask", "Eat when the staff say you may. Ask what to begin with.", _AFTER)
MEDICINES = Message(
    "A.after.medicines",
    "Medicines that you stopped or changed: take them again only as the unit tells you.",
    "On medicines that were stopped.",
)
LIFT_ASK = Message("A.after.lift-ask", "Heavy lifting or sport? Call the unit first.", _AFTER)
FLY_ASK = Message("A.after.fly-ask", "Do you want to fly or travel far? Call the unit first.", _AFTER)
RESULTS_HEADING = Message("B.after.results-heading", "Results", "Heading: what the examination found.")
FORGET = Message("B.after.forget", "You may forget what the doctor says. Ask for it in writing.", _AFTER)
RESULTS_ASK = Message("A.after.results-ask", "Ask how and when the results come.", _AFTER)
LETTER = Message("A.after.letter", "No letter by {date}? Call the unit.", "On the results.")
CAREFUL = (
    *DONTS.values(), SLEEPY_HEADING, UNTIL_TOLD, WATCH_HEADING, WATCH_ASK, USUAL_HEADING, *USUAL,
    NEXT_HEADING, MEAL_ASK, MEDICINES, LIFT_ASK, FLY_ASK, RESULTS_HEADING, FORGET, RESULTS_ASK,
)  # fmt: skip
MESSAGES = (
    *CAREFUL, FROM_HOME, FROM_DOSE, EARLIEST, EARLIEST_DOSE, ASK_DOSE, PLANNED, LONGEST, NO_WAIT,
    *WATCH.values(), *MEALS.values(), LETTER,
)  # fmt: skip
