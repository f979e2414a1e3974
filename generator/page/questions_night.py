"""What patients ask in the night before and in the morning, with our answers."""

from __future__ import annotations

from generator.page import question as q
from generator.page import step_messages as step
from generator.page import symptoms
from generator.page.question import Question, answer, asked

NIGHT = (
    Question(
        "all-night",
        (58,),
        asked("all-night", "Will I be up all night?"),
        says=(
            answer(
                "B",
                "all-night",
                "For most people it calms down some hours after the last glass.",
                "Will I be up all night?",
            ),
        ),
    ),
    Question(
        "bed",
        (59,),
        asked("bed", "What if I do not reach the toilet in time?"),
        says=(
            answer(
                "B",
                "bed",
                "Lay a towel or a pad on the bed. Sleep near the toilet.",
                "What if I do not reach the toilet in time?",
            ),
            answer(
                "A",
                "bed-rise",
                "Sit on the edge of the bed first, then rise slowly.",
                "What if I do not reach the toilet in time?",
            ),
            answer(
                "A",
                "bed-way",
                "Keep the way free and lit, and the phone at hand.",
                "What if I do not reach the toilet in time?",
            ),
        ),
    ),
    Question(
        "earlier-dose",
        (60,),
        asked("earlier-dose", "May I take the next dose before I go to bed?"),
        says=(
            answer(
                "A", "earlier-dose", "No. Keep to the time in the steps.", "May I take the next dose earlier?"
            ),
        ),
        lead=answer(
            "A", "earlier-rise", "Can you not get up at that time?", "May I take the next dose earlier?"
        ),
        until=step.KEEP_TO_PLAN,
        see=("steps",),
    ),
    Question(
        "overslept",
        (61,),
        asked("overslept", "I slept through the alarm."),
        by_unit=True,
        until=symptoms.UNTIL_ANSWERED,
    ),
    Question(
        "clocks",
        (62,),
        asked("clocks", "The clocks change that night. Which time holds?"),
        says=(
            answer(
                "A",
                "clocks",
                "The times on this page are right for that night. Set your other clocks.",
                "The clocks change that night",
                "Summer time begins or ends. “Other clocks”: those that are not set by themselves.",
            ),
        ),
        see=("alarms",),
        only_with=q.CLOCK_CHANGE,
    ),
    Question(
        "brown-at-night",
        (63,),
        asked("brown-at-night", "It is still brown in the night."),
        says=(q.EXPECTED,),
    ),
)

MORNING = (
    Question("aim", (64,), asked("aim", "What should it look like?"), says=(q.GOOD,), see=("clarity",)),
    Question(
        "still-brown",
        (65,),
        asked("still-brown", "It is still brown after the last dose."),
        says=(
            answer(
                "A",
                "still-brown",
                "Do not cancel the appointment by yourself.",
                "It is still brown after the last dose",
                "Of the appointment: the patient must not stay away by their own choice.",
            ),
        ),
        until=q.NOTHING_EXTRA,
        see=("clarity",),
    ),
    Question(
        "drank-after",
        (66,),
        asked("drank-after", "I drank something after the time was over."),
        says=(
            step.STOP,
            answer(
                "A",
                "drank-after",
                "Note the time and how much. Tell the staff when you arrive.",
                "I drank after",
            ),
        ),
        until=step.KEEP_TO_PLAN,
    ),
    Question(
        "morning-tablets",
        (67,),
        asked("morning-tablets", "When do I take my blood pressure tablet?"),
        says=(q.OWN_LINE,),
        by_unit=True,
        lead=q.NOT_NAMED,
        until=step.CALL_UNTIL,
        see=("steps",),
    ),
    Question(
        "low-sugar",
        (68,),
        asked("low-sugar", "My blood sugar is low."),
        says=(
            symptoms.LOW_SUGAR,
            answer(
                "A",
                "sugar-way",
                "Do so on the way to the unit too. Then check your sugar again.",
                "My blood sugar is low",
                "“Do so”: take glucose or sugar. Also when nothing more may be taken.",
            ),
            symptoms.SUGAR_DROWSY,
            step.SUGAR_TELL,
            q.CALL,  # whatever the unit adds
            symptoms.UNTIL_ANSWERED,
        ),
        by_unit=True,
    ),
    Question(
        "way",
        (69,),
        asked("way", "Will I manage the way to the unit?"),
        says=(
            answer(
                "B",
                "way",
                "Wear a pad, and find out where there are toilets on the way.",
                "Will I manage the way?",
            ),
            step.LEAVE_LONGER,
            step.KEEP_TO_PLAN,
        ),
    ),
    Question(
        "companion",
        (70,),
        asked("companion", "Nobody can take me home."),
        says=(
            answer(
                "A",
                "companion",
                "Say so as soon as you know, before you leave home.",
                "Nobody can take me home",
            ),
        ),
        until=step.KEEP_TO_PLAN,
        see=("day",),
    ),
    Question(
        "teeth",
        (71,),
        asked("teeth", "May I brush my teeth? What about rings and lenses?"),
        says=(
            answer("B", "teeth", "Brush your teeth, but swallow nothing.", "May I brush my teeth?"),
            answer(
                "B",
                "jewels",
                "Leave jewels at home. Bring a case for lenses and false teeth.",
                "What about rings and lenses?",
                "Lenses: contact lenses.",
            ),
        ),
    ),
    Question(
        "smoking",
        (72,),
        asked("smoking", "May I smoke or vape?"),
        says=(
            answer(
                "B",
                "smoking",
                "Leave it out from the time of “Take nothing more” on.",
                "May I smoke or vape?",
                "“Take nothing more” is the heading of a step.",
            ),
        ),
    ),
)
