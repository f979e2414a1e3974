"""What patients ask before the preparation and on the days of the diet, with our answers."""

from __future__ import annotations

from generator.page import question as q
from generator.page import step_messages as step
from generator.page import symptoms
from generator.page.question import Question, answer, asked

_SEE_THROUGH = "Clear: see-through; you can read print through it."

BEFORE = (
    Question(
        "iron",
        (1,),
        asked("iron", "What do I do with my iron tablets?"),
        says=(q.OWN_LINE,),
        by_unit=True,
        lead=q.NOT_NAMED,
        until=step.CALL_UNTIL,
        see=("steps",),
    ),
    Question(
        "thinner",
        (2,),
        asked("thinner", "Do I stop my blood thinner?"),
        says=(q.START_MEDICINES, q.OWN_LINE),
        by_unit=True,
        lead=q.NOT_NAMED,
        until=step.CALL_UNTIL,
        see=("steps",),
    ),
    Question(
        "diabetes",
        (3, 4),
        asked("diabetes", "What about my diabetes medicine, or my weekly injection?"),
        says=(q.START_MEDICINES, q.OWN_LINE),
        by_unit=True,
        lead=q.NOT_NAMED,
        until=step.CALL_UNTIL,
        see=("steps",),
    ),
    Question(
        "times",
        (5, 6),
        asked("times", "My letter, my sheet or the box gives other times."),
        says=(
            q.START_TIMES,
            answer(
                "A", "letter", "Does your letter give another day or time?", "My letter gives other times"
            ),
        ),
        until=q.UNTIL_NOT_START,
    ),
    Question(
        "other-product",
        (16,),
        asked("other-product", "The shop has another bowel medicine, or none."),
        by_unit=True,
        until=step.COLLECT_UNTIL,
    ),
    Question(
        "rarely",
        (7,),
        asked("rarely", "My bowel moves only every few days."),
        until=step.KEEP_TO_PLAN,
        see=("start",),
    ),
    Question(
        "pregnant",
        (8,),
        asked("pregnant", "I am pregnant or breast-feeding."),
        until=q.UNTIL_NOT_START,
        see=("start",),
    ),
    Question(
        "illness",
        (9, 11, 13, 14, 18),
        asked("illness", "I am ill, have an allergy, or it did not work last time."),
        until=q.UNTIL_NOT_START,
        see=("start",),
    ),
    Question("stoma", (12,), asked("stoma", "I have a stoma."), until=q.UNTIL_NOT_START, see=("start",)),
    Question(
        "device",
        (10,),
        asked("device", "I have a pacemaker, or another device in my body."),
        until=step.KEEP_TO_PLAN,
    ),
    Question(
        "aids",
        (),
        asked("aids", "I use a wheelchair, oxygen, a catheter or a feeding tube."),
        says=(
            answer(
                "B", "aids", "Bring what you use, and be near a toilet from the first dose on.", "I use aids"
            ),
        ),
        until=step.KEEP_TO_PLAN,
        see=("day",),
    ),
    Question(
        "period",
        (15,),
        asked("period", "What if I have my period on that day?"),
        says=(answer("B", "period", "You can come. A tampon or a pad is fine.", "What if I have my period"),),
    ),
    Question(
        "change-date", (17,), asked("change-date", "How do I change the date?"), until=step.KEEP_TO_PLAN
    ),
    Question(
        "holy-day",
        (),
        asked("holy-day", "The day falls in a fast or on a holy day."),
        says=(
            answer(
                "B",
                "holy-day",
                "Ask the unit for another date. This page also works on paper: print it before.",
                "The day falls in a fast or on a holy day",
                "It judges no rule of a faith.",
            ),
        ),
        until=step.KEEP_TO_PLAN,
    ),
    Question(
        "short-notice",
        (19,),
        asked("short-notice", "I got my appointment only a day or two before."),
        says=(
            answer(
                "A",
                "short-notice",
                "Steps whose time has passed say so. Tell the unit about them.",
                "I got my appointment only a day or two before",
            ),
        ),
        until=step.PAST_UNTIL,
        see=("steps",),
    ),
)

DIET = (
    Question(
        "ate-seeds",
        (20, 21),
        asked("ate-seeds", "I ate seeds, nuts or brown bread."),
        says=(
            answer(
                "B", "ate-seeds", "Eat no more of it. Tell the staff when you arrive.", "I ate seeds or nuts"
            ),
            answer(
                "B",
                "ate-seeds-when",
                "Was it forbidden already when you ate it?",
                "I ate seeds or nuts",
            ),
        ),
        until=step.KEEP_TO_PLAN,
        see=("food",),
    ),
    Question(
        "ate-solid",
        (22, 23),
        asked("ate-solid", "I ate when I should not have."),
        says=(answer("A", "ate-stop", "Eat nothing more, and say what you ate.", "I ate when I should not"),),
        until=symptoms.UNTIL_ANSWERED,
    ),
    Question(
        "red-drinks",
        (24,),
        asked("red-drinks", "Why nothing red or purple?"),
        says=(
            answer("B", "red-drinks", "It can look like blood in the bowel.", "Why nothing red or purple?"),
        ),
        see=("food",),
    ),
    Question(
        "red-tablet",
        (25,),
        asked("red-tablet", "My tablet is red. May I take it?"),
        says=(
            answer(
                "A",
                "red-tablet",
                "The colour does not matter. It follows the same rules as your other tablets.",
                "My tablet is red",
            ),
        ),
        by_unit=True,
        until=step.CALL_UNTIL,
    ),
    Question(
        "vegetarian",
        (26,),
        asked("vegetarian", "I eat no meat or fish. What is left?"),
        says=(
            answer(
                "B",
                "vegetarian",
                "Choose what you like from the food list that still says yes.",
                "I eat no meat or fish",
            ),
        ),
        see=("food",),
    ),
    Question(
        "jelly",
        (27,),
        asked("jelly", "Does jelly fit my faith or my diet?"),
        says=(
            answer(
                "B",
                "jelly",
                "Leave it out if you are not sure. A clear drink does the same job.",
                "Does jelly fit my faith?",
                _SEE_THROUGH,
            ),
        ),
        see=("food",),
    ),
    Question(
        "alcohol",
        (28,),
        asked("alcohol", "May I have alcohol?"),
        says=(answer("B", "alcohol", "No. It takes water from your body.", "May I have alcohol?"),),
        see=("food",),
    ),
    Question(
        "hungry",
        (29,),
        asked("hungry", "I am hungry, or I shake."),
        says=(
            answer(
                "A",
                "hungry-first",
                "Diabetes, or much alcohol as a rule? Stop the bowel medicine, and ring the unit.",
                "I am hungry, or I shake",
            ),
            answer(
                "B",
                "hungry",
                "Sit down. Take a clear drink with sugar while the steps allow it.",
                "I am hungry, or I shake",
                _SEE_THROUGH,
            ),
            symptoms.LOW_SUGAR,
        ),
        by_unit=True,
        lead=answer("A", "hungry-faint", "Do you feel faint, or have diabetes?", "I am hungry, or I shake"),
        until=symptoms.UNTIL_ANSWERED,
        see=("food",),
    ),
    Question(
        "work",
        (30, 31),
        asked("work", "Can I work or go out on the day before?"),
        says=(
            answer(
                "B", "work", "From the first dose on, stay at home near a toilet.", "Can I work or go out?"
            ),
            answer("B", "work-shift", "Do you work in the evening or at night?", "Can I work or go out?"),
        ),
        until=step.KEEP_TO_PLAN,
    ),
    Question(
        "sweets",
        (32,),
        asked("sweets", "May I have chewing gum, mints or sweets?"),
        says=(
            answer(
                "B",
                "sweets",
                "Look in the food list. They end with “Take nothing more” too.",
                "May I have chewing gum, mints or sweets?",
                "“Take nothing more” is the heading of a step.",
            ),
            q.OTHER_FOOD,
        ),
        see=("food",),
    ),
    Question(
        "fibre",
        (33,),
        asked("fibre", "What about fibre powder, flax seeds or fish oil?"),
        by_unit=True,
        until=step.CALL_UNTIL,
    ),
)
