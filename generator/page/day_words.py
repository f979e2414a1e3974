"""The words about the day of the examination: our sentences, of which the unit's day.toml picks.

What happens, why the bowel must be clean and how sedation feels: common practice, no source. Most bowel cancers
grow from polyps (more than nine of ten, as the trade states it); no sentence promises anything.
"""

from __future__ import annotations

from generator.words.message import Message

_DAY = "Under the heading “On the day”."
_BRING = "In the list “What to bring”."
_TELL = "In the list “Tell the staff when you arrive, if one of these is true”."
_HOME = "Under “Going home”: how the patient goes home after sedation."
_STAY = "Under “Going home”: whether somebody stays with the patient."
_KIND = "A kind of sedation, in a list or after “Planned for you”."


def _table(begin: str, note: str, texts: dict[str, str]) -> dict[str, Message]:
    return {name: Message(f"{begin}.{name}", english, note) for name, english in texts.items()}


BRING = _table(
    "B.bring",
    _BRING,
    {
        "letter": "Your letter",
        "medicines-list": "A list of all your medicines",
        "medicines": "The medicines that you need during the day",
        "inhaler": "Your inhaler or spray",
        "diabetes-kit": "For diabetes: your meter, your insulin, and sugar",
        "implant-card": "The card of your pacemaker or other implant",
        "glasses": "Your glasses. Keep them on until the staff tell you.",
        "hearing-aids": "Your hearing aids. Keep them in until the staff tell you.",
        "loose-clothes": "Wear loose clothes",
        "spare-clothes": "Spare underwear and trousers",
        "slippers": "Slippers or warm socks",
        "pads": "Pads, if you use them",
        "stoma-bag": "A spare stoma bag, if you have a stoma",
        "cpap": "Your breathing device for the night (CPAP)",
        "phone": "Your phone and its charger",
        "no-valuables": "Leave jewellery and valuables at home",
    },
)
TELL = _table(
    "A.tell",
    _TELL,
    {
        "device": "You have a pacemaker or another device in your body",
        "veins": "Your veins are hard to find",
        "allergy": "You are allergic to a medicine, latex or plasters",
        "sedation": "A medicine to sleep, or an anaesthetic, made you ill before",
        "breathing": "You use oxygen, or a breathing device at night",
        "pregnant": "You are pregnant, or might be",
        "period": "You have your period",
        "teeth": "You have loose teeth, crowns or false teeth",
        "tube": "You have a urine catheter or a feeding tube",
        "ill": "You have a fever, a cough or a new illness",
        "vomited": "You vomited the bowel medicine, or did not finish it",
        "interpreter": "You need an interpreter or sign language",
    },
)
HOME = _table(
    "A.home",
    _HOME,
    {
        "adult": "An adult must take you home.",
        "car-or-taxi-with-adult": "An adult must take you home, by car or taxi. No bus or train.",
        "car-with-adult": "An adult must take you home by car. No taxi, bus or train.",
        "adult-or-transport": "An adult or the patient transport must take you home.",
    },
)
STAY = _table(
    "A.stay",
    _STAY,
    {
        "overnight": "An adult must stay with you, all night too.",
        "some-hours": "An adult must stay with you for some hours. Ask for how long.",
        "as-told": "The staff tell you whether an adult must stay with you.",
    },
)
SEDATION = _table(
    "A.sedation",
    _KIND,
    {
        "none": "No medicine that makes you sleepy: you are awake.",
        "gas": "A gas that you breathe in when you need it. You stay awake.",
        "conscious": "A medicine into a vein that makes you calm and sleepy.",
        "propofol": "A medicine into a vein that lets you sleep.",
        "general": "A general anaesthetic: you sleep deeply.",
    },
)

SLIP = Message(
    "B.day.slip", "It may begin later than planned. The staff tell you.", f"{_DAY} After the time."
)
THIRSTY = Message(
    "A.day.thirsty", "Thirsty while you wait? Ask the nurse before you take anything.", f"{_DAY} In the unit."
)
BRING_HEADING = Message("B.day.bring-heading", "What to bring", "Heading.")
TELL_HEADING = Message(
    "A.day.tell-heading", "Tell the staff when you arrive, if one of these is true", "Heading of a list."
)
HOME_HEADING = Message("A.day.home-heading", "Going home", "Heading.")
ALONE = Message(
    "A.home.alone", "You may go home alone if you were given nothing that makes you sleepy.", _HOME
)
OTHERWISE = Message("A.home.otherwise", "Otherwise this holds:", f"{_HOME} Sentences on an adult follow.")
VISIT = Message(
    "B.day.visit",
    "The whole visit takes about {n} hour.",
    f"{_DAY} From arrival to going home.",
    other="The whole visit takes about {n} hours.",
)
HAPPENS_HEADING = Message("B.day.happens-heading", "What happens", "Heading.")
HAPPENS = (
    Message("B.day.lie", "You lie on your left side, covered with a sheet.", f"{_DAY} During it."),
    Message(
        "B.day.tube",
        "A thin tube that bends, with a camera, goes in through your back passage.",
        f"{_DAY} During it. Back passage: the plain and polite word for the anus.",
    ),
    Message(
        "B.day.air",
        "Air or gas opens the bowel. You may feel full or have cramps. Passing wind is expected.",
        f"{_DAY} During it.",
    ),
    Message("A.day.stop", "You may say stop at any time.", f"{_DAY} During it."),
)
LENGTH = Message(
    "B.day.length", "The examination usually takes {minutes} to {most} minutes.", f"{_DAY} Its length."
)
LONGER = Message(
    "B.day.longer",
    "It may take longer after an operation on the bowel, or if the bowel is long.",
    f"{_DAY} After its usual length.",
)
CLEAN_HEADING = Message("B.day.clean-heading", "Why the bowel must be clean", "Heading.")
CLEAN = (
    Message("B.day.hides", "Stool hides what the doctor looks for. Then it may have to be done again.", _DAY),
    Message(
        "B.day.polyps",
        "Polyps are small growths in the bowel. They can be taken away during the examination.",
        _DAY,
    ),
    Message(
        "B.day.cancer",
        "Most bowel cancers grow from polyps. Taking polyps away can prevent cancer. "
        "No examination finds everything.",
        f"{_DAY} It promises nothing: “can prevent”.",
    ),
)
SEDATION_HEADING = Message("A.sedation.heading", "Medicine that makes you sleepy", "Heading.")
PLANNED = Message("A.sedation.planned", "Planned for you:", "A kind of sedation follows.")
OFFERED = Message(
    "A.sedation.offered", "The unit has these kinds. Ask which one is for you.", "A list of kinds follows."
)
WORRY_HEADING = Message("B.day.worry-heading", "What people worry about", "Heading.")
SOIL = Message(
    "B.day.soil",
    "Afraid of soiling the table? The staff expect it, and the liquid is sucked away.",
    f"{_DAY} A common worry.",
)
CONSENT = Message(
    "B.day.consent", "You are asked again whether you agree. You may say no at any time.", "On consent."
)
FORM = Message("B.day.form", "This page is not the consent form.", "On consent.")
WAY_HEADING = Message(
    "B.day.way-heading", "The way to the unit", "Heading. The clinic's own sentence follows."
)
MESSAGES = (
    *BRING.values(), *TELL.values(), *HOME.values(), *STAY.values(), *SEDATION.values(), SLIP, THIRSTY,
    BRING_HEADING, TELL_HEADING, HOME_HEADING, ALONE, OTHERWISE, VISIT, HAPPENS_HEADING, *HAPPENS, LENGTH,
    LONGER, CLEAN_HEADING, *CLEAN, SEDATION_HEADING, PLANNED, OFFERED, WORRY_HEADING, SOIL, CONSENT, FORM,
    WAY_HEADING,
)  # fmt: skip
