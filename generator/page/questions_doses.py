"""What patients ask while they take the bowel medicine, with our answers."""

from __future__ import annotations

from generator.page import question as q
from generator.page import step_messages as step
from generator.page import symptoms
from generator.page.question import Question, answer, asked

_SEE_THROUGH = "Clear: see-through; you can read print through it."

NOTHING_YET = answer(
    "B", "nothing-yet", "It can take some hours. Walk about at home.", "Nothing has come out yet"
)
NOTHING_BY = answer(
    "A",
    "nothing-by",
    "Has nothing come by {when}?",
    "Nothing has come out yet",
    "{when}: date and time. “Call the unit about this.” follows.",
)

DOSES = (
    Question(
        "taste",
        (34,),
        asked("taste", "It tastes awful."),
        says=(
            answer(
                "B",
                "taste",
                "Chill it, use a straw, and rinse your mouth after each glass.",
                "It tastes awful",
            ),
            answer("B", "taste-flavour", "Add no flavour unless the unit told you to.", "It tastes awful"),
        ),
    ),
    Question(
        "warm-cup",
        (35,),
        asked("warm-cup", "The glass got hot when I mixed it."),
        says=(
            answer(
                "B",
                "warm-cup",
                "Some powders get warm in water. Let it cool down first.",
                "The glass got hot",
            ),
        ),
        see=("steps",),
    ),
    Question(
        "mix-in",
        (47,),
        asked("mix-in", "May I mix it with juice or cola?"),
        says=(answer("A", "mix-in", "Mix it only as the steps say.", "May I mix it with juice or cola?"),),
        until=step.KEEP_TO_PLAN,
        see=("steps",),
    ),
    Question(
        "sick",
        (36,),
        asked("sick", "I feel sick."),
        says=(
            answer(
                "A",
                "sick-sglt2",
                "Dapagliflozin or a tablet like it? Stop the bowel medicine, and ring the unit now.",
                "I feel sick",
            ),
            answer("B", "sick", "Sit up, open a window, and take a short walk.", "I feel sick"),
        ),
        by_unit=True,
        until=symptoms.UNTIL_ANSWERED,
    ),
    Question(
        "vomited",
        (37, 38),
        asked("vomited", "I vomited."),
        by_unit=True,
        until=symptoms.UNTIL_ANSWERED,
        see=("call",),
    ),
    Question(
        "cracker",
        (39,),
        asked("cracker", "May I eat a cracker to settle my stomach?"),
        says=(step.CLEAR_FOOD,),
        until=step.KEEP_TO_PLAN,
    ),
    Question(
        "nothing-yet",
        (40,),
        asked("nothing-yet", "Nothing has come out yet."),
        says=(
            NOTHING_YET,
            step.MOVEMENT_BELLY,
            NOTHING_BY,
        ),
        until=symptoms.UNTIL_ANSWERED,
    ),
    Question("looks-clean", (41,), asked("looks-clean", "It looks clean. May I stop?"), says=(q.FINISH,)),
    Question(
        "diarrhoea",
        (42,),
        asked("diarrhoea", "I have diarrhoea anyway. Do I need the bowel medicine?"),
        by_unit=True,
        until=q.UNTIL_NOT_START,
        see=("start",),
    ),
    Question(
        "started-after",
        (43,),
        asked("started-after", "I did not start on time."),
        by_unit=True,
        until=symptoms.UNTIL_ANSWERED,
    ),
    Question(
        "mixed-up",
        (44, 45),
        asked("mixed-up", "I took both doses together, or mixed it wrong."),
        by_unit=True,
        until=symptoms.UNTIL_ANSWERED,
    ),
    Question(
        "too-fast",
        (46,),
        asked("too-fast", "I drank it too fast."),
        says=(
            answer("A", "too-fast", "Take the next glass only at its time.", "I drank it too fast"),
            answer("A", "too-fast-unwell", "Do you feel unwell?", "I drank it too fast"),
        ),
        until=symptoms.UNTIL_ANSWERED,
    ),
    Question(
        "spilled",
        (57,),
        asked("spilled", "I spilled some of it."),
        by_unit=True,
        until=step.PAST_UNTIL,
    ),
    Question(
        "cold",
        (48,),
        asked("cold", "I feel cold, or I shiver."),
        says=(
            answer(
                "A", "cold-after", "After the examination? Ring the unit now.", "I feel cold, or I shiver"
            ),
            answer(
                "B",
                "cold",
                "Many people do. A blanket helps, or a warm clear drink while the steps allow it.",
                "I feel cold, or I shiver",
                _SEE_THROUGH,
            ),
            answer("A", "cold-fever", "Do you have a fever?", "I feel cold, or I shiver"),
        ),
        until=symptoms.UNTIL_ANSWERED,
    ),
    Question(
        "cramps",
        (49,),
        asked("cramps", "I have cramps."),
        says=(
            answer("B", "cramps", "Cramps that ease after the toilet are usual.", "I have cramps"),
            step.MOVEMENT_BELLY,
            answer("A", "cramps-stay", "Does the pain stay, or get worse?", "I have cramps"),
        ),
        until=symptoms.UNTIL_ANSWERED,
    ),
    Question(
        "dizzy",
        (50,),
        asked("dizzy", "I am dizzy, or my head hurts."),
        says=(answer("A", "dizzy", "Lie down. Ask somebody to stay with you.", "I am dizzy"),),
        until=symptoms.UNTIL_ANSWERED,
        see=("call",),
    ),
    Question(
        "blood",
        (51,),
        asked("blood", "There is blood on the paper."),
        by_unit=True,
        until=symptoms.UNTIL_ANSWERED,
        see=("call",),
    ),
    Question(
        "sore",
        (52,),
        asked("sore", "My bottom is sore."),
        says=(answer("B", "sore", "Pat, do not rub. A barrier cream helps.", "My bottom is sore"),),
    ),
    Question(
        "usual-tablets",
        (53,),
        asked("usual-tablets", "When do I take my usual tablets?"),
        says=(q.OWN_LINE,),
        by_unit=True,
        lead=q.NOT_NAMED,
        until=step.CALL_UNTIL,
        see=("steps",),
    ),
    Question(
        "pill",
        (54,),
        asked("pill", "Does the contraceptive pill still work?"),
        by_unit=True,
        until=step.CALL_UNTIL,
    ),
    Question(
        "forgot-tablets",
        (55,),
        asked("forgot-tablets", "I forgot the bowel tablets."),
        by_unit=True,
        until=step.PAST_UNTIL,
        only_with="tablets",
    ),
    Question(
        "no-sheet",
        (56,),
        asked("no-sheet", "I lost my sheet."),
        says=(
            answer(
                "B",
                "no-sheet",
                "All steps are on this page. Is anything not clear to you?",
                "I lost my sheet",
                "Clear: easy to understand, not see-through.",
            ),
        ),
        until=step.KEEP_TO_PLAN,
        see=("steps", "call"),
    ),
)
