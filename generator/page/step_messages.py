"""The headings and sentences of steps, as messages."""

from __future__ import annotations

from generator.page.own_medicine_words import MESSAGES as OWN_MEDICINE_MESSAGES
from generator.page.own_medicine_words import TITLES as OWN_MEDICINE_TITLES
from generator.page.step_line import heading, sentence

_SEE_THROUGH = "Clear: see-through; you can read print through it."
TITLES = {
    "collect": heading("B.step.collect", "Have your bowel medicine at home"),
    "diet-low-fibre": heading("B.step.low-fibre", "Eat low-fibre food only"),
    "diet-full-liquids": heading(
        "B.step.full-liquids",
        "Take liquids only, nothing solid",
        "Drinks and thin foods; not only clear ones.",
    ),
    "diet-usual": heading("B.step.usual-diet", "Eat as usual"),
    "last-meal": heading("A.step.last-meal", "Eat your last meal"),
    "clear-fluids": heading(
        "A.step.clear-drinks", "Take clear drinks only", f"From here on no food. {_SEE_THROUGH}"
    ),
    "mix": heading("A.step.mix", "Mix the bowel medicine"),
    "drink": heading("A.step.drink", "Drink the bowel medicine"),
    "extra-fluid": heading(
        "A.step.extra", "Take clear drinks as well", f"Other drinks, after the medicine. {_SEE_THROUGH}"
    ),
    "tablets": heading("A.step.tablets", "Take the bowel tablets", "Tablets that empty the bowel."),
    "check-clarity": heading("B.step.check", "Look into the toilet bowl"),
    "stop-drinking": heading("A.step.stop", "Take nothing more, not even water"),
    "leave": heading("B.step.leave", "Leave home"),
    "arrive": heading("B.step.arrive", "Be at the unit"),
    "procedure": heading("B.step.procedure", "Examination, about this time", "The hour is not exact."),
    "watch": heading("A.step.watch", "Watch for warning signs", "At home after the examination."),
    "check-movement": heading("A.step.movement", "Has your bowel moved?", "Some hours after the dose."),
    "call": heading(
        "B.step.call", "Call the unit by now", "The last good time to call before days on which it is closed."
    ),
    "confirm": heading(
        "B.step.confirm",
        "Hear from the unit: does your time hold?",
        "The clinic says whether the time of the appointment still holds.",
    ),
    "enema": heading("A.step.enema", "Use the enema"),
    "pause": heading("A.step.pause", "A pause: take no drinks", "Nothing is drunk for a while."),
    "wake": heading("B.step.wake", "Get up"),
    "home": heading("A.step.home", "At home again", "After the examination."),
    **OWN_MEDICINE_TITLES,
}

COLLECT_NAME = sentence("B.step.collect-name", "The name on the box is {product}.")
COLLECT_PIECES = sentence("B.step.collect-pieces", "Packets in the box: {n}.", "{n}: how many.")
COLLECT_DATE = sentence("B.step.collect-date", "Look at the date on the box: it must not have passed.")
COLLECT_JUG = sentence(
    "B.step.collect-jug",
    "Have a measuring jug and clear drinks at home.",
    "Clear: see-through; you can read print through it.",
)
COLLECT_ASK = sentence(
    "A.step.collect-ask",
    "Last time to ask before you start: until {when}.",
    "{when}: when the last phone line closes before the first dose, date and time.",
)
COLLECT_CALL = sentence("B.step.collect-call", "Is the name different, or a packet missing? Call the unit.")
COLLECT_UNTIL = sentence(
    "A.step.collect-until", "Until someone answers, take none of it.", "The bowel medicine."
)
DIET = sentence("B.step.low-fibre-do", "Eat only what the food list on this page allows.")
FULL_LIQUIDS = sentence("B.step.full-liquids-do", "Take only liquids that the food list on this page allows.")
DIET_ASK = sentence(
    "B.step.low-fibre-ask",
    "Call the unit and ask what you may eat. Until someone answers, keep to the times in this list.",
    "Where the clinic has signed no list of foods.",
)
FULL_LIQUIDS_ASK = sentence(
    "B.step.full-liquids-ask",
    "Call the unit and ask which liquids you may take. Until someone answers, keep to the times in this list.",
    "Where the clinic has signed no list of foods.",
)
USUAL_DIET = sentence("B.step.usual-diet-do", "Eat and drink as you usually do.")
LAST_MEAL = sentence("A.step.last-meal-do", "Eat no solid food after this meal.")
CLEAR = sentence("A.step.clear-drinks-do", "A clear drink is see-through: you can read print through it.")
DRINKS_SALT = sentence(
    "A.step.drinks-salt",
    "Take broth, or drinks with salt and sugar, not only water.",
    "Clear drinks. Much plain water alone lowers the salt in the blood.",
)
CLEAR_FOOD = sentence("A.step.clear-drinks-food", "Eat no solid food.")
MIX_PACKETS = sentence("A.step.mix-packets", "Packets to stir in: {n}.", "{n}: how many.")
MIX_WATER = sentence("A.step.mix-water", "Water to stir them into: {volume}.")
MIX_DRY = sentence("A.step.mix-dry", "Never swallow the powder dry.")
MIX_WAIT = sentence("A.step.mix-wait", "Let it stand for {minutes} minutes. It may become warm.")
DRINK_PACE = sentence(
    "A.step.drink-pace",
    "Drink one glass of {volume} every {minutes} minutes.",
    "The drink is the bowel medicine.",
)
DRINK_ONE = sentence(
    "A.step.drink-one",
    "Drink the glass of {volume} within {minutes} minutes.",
    "The drink is the bowel medicine.",
)
DRINK_COUNT = sentence("A.step.drink-count", "Glasses in all: {n}. Together: {total}.")
DRINK_LAST = sentence("A.step.drink-last", "The last glass is smaller: {volume}.")
DRINK_FASTEST = sentence(
    "A.step.drink-fastest",
    "Go no faster than one glass every {minutes} minutes.",
    "The drink is the bowel medicine.",
)
MEASURE = sentence(
    "B.step.measure",
    "Pour {volume} of water from the measuring jug into your glass. Mark that height with tape.",
    "Glasses hold different amounts. The person does this one time, before the first glass.",
)
DRINK_SICK = sentence("A.step.drink-sick", "If you vomit, stop the bowel medicine and call the unit.")
EXTRA_PACE = sentence(
    "A.step.extra-pace",
    "Take one glass of {volume} of a clear drink every {minutes} minutes.",
    _SEE_THROUGH,
)
EXTRA_COUNT = sentence("A.step.extra-count", "Glasses of clear drinks: {n}. Together: {total}.", _SEE_THROUGH)
EXTRA_MOST = sentence(
    "A.step.extra-most",
    "Never take more than {volume} in one hour, all drinks together.",
    "Too much water at once is dangerous.",
)
TABLETS = sentence("A.step.tablets-do", "Tablets to take, with water: {n}.")
EXTRA_LEAST = sentence("A.step.extra-least", "Take at least {volume} of them in all.", "Clear drinks.")
EXTRA_TOP = sentence("A.step.extra-top", "Take no more than {volume} of them in all.", "Clear drinks.")
MIX_KEEPS = sentence("A.step.mix-keeps", "After mixing, it keeps for {hours} hours.")
MIX_KEEPS_MINUTES = sentence("A.step.mix-keeps-minutes", "After mixing, it keeps for {minutes} minutes.")
MIX_AFTER = sentence(
    "A.step.mix-after",
    "After that, pour it away and call the unit. Until someone answers, take no more.",
    "After how long the mixture keeps. “No more”: of the bowel medicine.",
)
MOVEMENT = sentence("A.step.movement-do", "Nothing has come yet? Call the unit now.")
MOVEMENT_SICK = sentence(
    "A.step.movement-sick", "Vomiting? Take no more of the bowel medicine, and call the unit."
)
MOVEMENT_BELLY = sentence(
    "A.step.movement-belly",
    "Hard, swollen belly, or very bad pain? Stop, and ring the emergency number now: {emergency}.",
    "“Stop”: the bowel medicine. The same signs as in the list under “When to call”.",
)
CALL = sentence("B.step.call-do", "Is anything unclear? Ask by this time. Later the unit may be closed.")
CALL_UNTIL = sentence("A.step.call-until", "Until someone answers, change none of your medicines.")
CONFIRM = sentence(
    "B.step.confirm-do", "The unit tells you whether your time holds. Have you heard nothing? Call."
)
KEEP_TO_PLAN = sentence("A.step.keep-to-plan", "Until someone answers, keep to this plan.")
ENEMA = sentence("A.step.enema-do", "Use it as the unit told you, and stay near the toilet.")
PAUSE = sentence("A.step.pause-do", "For {minutes} minutes take no drinks, not even water.")
AT_UNIT = sentence(
    "A.step.at-unit",
    "You do this at the unit, not at home.",
    "A dose, or its mixing, that is done in the clinic after arriving there. It stands first in its step.",
)
WAKE = sentence("B.step.wake-do", "The next step comes soon.")
HOME = sentence("A.step.home-do", "Have an adult with you.")
LEAVE_FETCHED = sentence("B.step.leave-fetched", "You are fetched from home at this time.")
PROCEDURE_LATEST = sentence(
    "A.step.procedure-latest", "It may begin as late as {until}. Be there at {arrival} all the same."
)
PROVISIONAL = sentence(
    "A.step.provisional", "This time is not confirmed yet. The unit tells you the final time."
)
PAST = sentence(
    "A.step.past",
    "This time had passed when the plan was made. Ask the unit what to do.",
    "On a step that comes too late for a late booking.",
)
PAST_UNTIL = sentence(
    "A.step.past-until",
    "Until someone answers, take no medicine to make up for it.",
    "On a step that comes too late for a late booking.",
)
CHECK = sentence("B.step.check-do", "Look before you flush. Then read “Is it see-through?” on this page.")
STOP = sentence("A.step.stop-do", "From now on take nothing by mouth, not even water.")
STILL_NOTHING = sentence(
    "A.step.still-nothing",
    "Still take nothing by mouth, not even water.",
    "At the times of leaving home and of arriving.",
)
SUGAR_TELL = sentence(
    "A.step.sugar-tell",
    "Was your blood sugar low? Tell the staff as soon as you arrive.",
    "For people with diabetes, once nothing may be taken by mouth any more.",
)
LEAVE = sentence("B.step.leave-do", "The way to the unit is reckoned as {minutes} minutes.")
LEAVE_LONGER = sentence("B.step.leave-longer", "Does the way take longer? Call the unit now.")
ARRIVE = sentence("B.step.arrive-do", "Go to {place}.")
PROCEDURE = sentence("B.step.procedure-do", "It may begin later. The staff tell you.")
WATCH = sentence("A.step.watch-do", "For {days} days, watch for the signs under “Afterwards”.")
WATCH_STATED = sentence(
    "A.step.watch-stated", "Watch for the signs under “Afterwards”. It says until which day."
)

MESSAGES = (
    *TITLES.values(),
    *OWN_MEDICINE_MESSAGES,
    EXTRA_LEAST,
    EXTRA_TOP,
    MIX_KEEPS,
    MIX_KEEPS_MINUTES,
    MIX_AFTER,
    MOVEMENT,
    MOVEMENT_SICK,
    MOVEMENT_BELLY,
    CALL,
    CALL_UNTIL,
    CONFIRM,
    KEEP_TO_PLAN,
    DRINKS_SALT,
    AT_UNIT,
    ENEMA,
    PAUSE,
    WAKE,
    HOME,
    LEAVE_FETCHED,
    PROCEDURE_LATEST,
    PROVISIONAL,
    PAST,
    PAST_UNTIL,
    COLLECT_NAME,
    COLLECT_PIECES,
    COLLECT_DATE,
    COLLECT_JUG,
    COLLECT_ASK,
    COLLECT_CALL,
    COLLECT_UNTIL,
    DIET,
    FULL_LIQUIDS,
    DIET_ASK,
    FULL_LIQUIDS_ASK,
    USUAL_DIET,
    LAST_MEAL,
    CLEAR,
    CLEAR_FOOD,
    MIX_PACKETS,
    MIX_WATER,
    MIX_DRY,
    MIX_WAIT,
    DRINK_PACE,
    DRINK_ONE,
    DRINK_COUNT,
    DRINK_LAST,
    DRINK_FASTEST,
    MEASURE,
    DRINK_SICK,
    EXTRA_PACE,
    EXTRA_COUNT,
    EXTRA_MOST,
    TABLETS,
    CHECK,
    STOP,
    STILL_NOTHING,
    SUGAR_TELL,
    LEAVE,
    LEAVE_LONGER,
    ARRIVE,
    PROCEDURE,
    WATCH,
    WATCH_STATED,
)
