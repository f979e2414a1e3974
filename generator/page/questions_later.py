"""What patients ask at the unit and afterwards, with our answers."""

from __future__ import annotations

from generator.page import question as q
from generator.page import step_messages as step
from generator.page.question import Question, answer, asked

AT_UNIT = (
    Question(
        "waiting",
        (73,),
        asked("waiting", "I am still waiting, and I am thirsty."),
        says=(
            step.PROCEDURE,
            answer(
                "A", "waiting", "Ask the nurse before you take anything, even water.", "I am still waiting"
            ),
        ),
    ),
    Question(
        "no-sedation",
        (74,),
        asked("no-sedation", "Can I stay awake, choose who does it, or stop it?"),
        says=(
            q.CONSENT,
            answer(
                "B",
                "needles",
                "Do you fear needles, or are your veins hard to find? Say so.",
                "Can I stay awake, choose who does it, or stop it?",
            ),
        ),
        until=step.KEEP_TO_PLAN,
    ),
    Question(
        "soiling",
        (75,),
        asked("soiling", "Will I soil the table?"),
        says=(
            answer(
                "B",
                "soiling",
                "The staff are used to it. What runs out is sucked away.",
                "Will I soil the table?",
            ),
        ),
    ),
)

AFTER = (
    Question(
        "again",
        (76,),
        asked("again", "When may I eat, drive, work and have alcohol again?"),
        says=(
            answer(
                "B",
                "again",
                "The staff tell you before you go. Keep to the list under “Afterwards”.",
                "When may I eat, drive and work again?",
                "“Afterwards” is the heading of a part of the page.",
            ),
        ),
        see=("afterwards",),
    ),
    Question(
        "bleeding-after",
        (77,),
        asked("bleeding-after", "I bleed. How much is too much?"),
        says=(
            answer(
                "A",
                "bleeding-much",
                "A lot, or at all with a blood thinner? Ring the emergency number now.",
                "I bleed. How much is too much?",
            ),
        ),
        by_unit=True,
        until=q.UNTIL_NOT_ALONE,
        then=(q.NOBODY,),
        see=("afterwards",),
    ),
    Question(
        "no-stool",
        (78,),
        asked("no-stool", "Nothing comes out for days."),
        says=(
            answer(
                "B",
                "no-stool",
                "Two or three days are usual: the bowel is empty.",
                "Nothing comes out for days",
            ),
            answer(
                "A",
                "no-stool-belly",
                "Hard or swollen belly, no wind, or vomiting? Ring the emergency number now.",
                "Nothing comes out for days",
            ),
        ),
    ),
    Question(
        "belly-after",
        (79,),
        asked("belly-after", "My belly is hard or hurts badly, or I faint."),
        says=(q.EMERGENCY_NOW,),
        see=("afterwards",),
    ),
    Question(
        "fever-after",
        (79,),
        asked("fever-after", "I have a fever, I vomit, or it is black like tar."),
        until=q.UNTIL_NOT_ALONE,
        then=(q.NOBODY,),
        see=("afterwards",),
    ),
    Question(
        "restart",
        (80,),
        asked("restart", "When do I take my own medicines again?"),
        says=(q.MEDICINES_AGAIN,),
        by_unit=True,
        until=step.CALL_UNTIL,
    ),
    Question(
        "journey",
        (81,),
        asked("journey", "When may I fly or go on a journey?"),
        until=answer("A", "until-journey", "Until someone answers, plan no journey.", "When may I fly?"),
    ),
    Question(
        "forgot-words",
        (82,),
        asked("forgot-words", "I do not remember what the doctor said."),
        says=(
            answer(
                "B",
                "forgot-words",
                "Ask who was with you, and read the sheet you were given.",
                "I do not remember",
            ),
        ),
        until=answer(
            "A",
            "until-sheet",
            "Until someone answers, keep to the sheet the unit gave you.",
            "I do not remember",
        ),
    ),
    Question(
        "vein",
        (83,),
        asked("vein", "My arm is sore where the needle was."),
        says=(
            answer("B", "vein", "A warm cloth can help.", "My arm is sore where the needle was"),
            answer(
                "A", "vein-spreads", "Is it hot, does it spread, or do you have a fever?", "My arm is sore"
            ),
        ),
        until=q.UNTIL_NOT_ALONE,
        see=("afterwards",),
    ),
)
