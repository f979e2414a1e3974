"""When to call: one message per warning sign, so that a dropped sign is a missing message, not a shorter list.

Signs and levels: the trade's usual table, from labels of the medicines (seizure, arrhythmia, aspiration, allergy
and ischaemic colitis warnings), Paszat et al. 2021 (bleeding within 14 days) and common practice. A unit's own
signed table takes its place later; where none is signed, the careful level stands.
"""

from __future__ import annotations

from collections.abc import Mapping

from generator.clinic.aftercare import Aftercare
from generator.clinic.symptoms import LEVELS
from generator.words.message import Message

_E = "A warning sign under the heading “Ring the emergency number now”. One sign, nothing added."
_U = "A warning sign under the heading “Stop and ring the unit now”. One sign, nothing added."
_T = "Something harmless under the heading “Carry on, and tell us when you arrive”."
_AE = "A warning sign after the examination, under “Ring the emergency number now”."
_AU = "A warning sign after the examination, under “Ring the unit now”."

EMERGENCY = (
    Message("A.call.emergency.chest", "Pain in the chest", _E),
    Message(
        "A.call.emergency.breath", "You cannot get enough breath, or you choke while or after drinking", _E
    ),
    Message("A.call.emergency.collapse", "You faint or collapse, or somebody cannot wake you", _E),
    Message("A.call.emergency.fit", "A fit (seizure)", _E),
    Message("A.call.emergency.confused", "You are suddenly confused or very drowsy", _E),
    Message("A.call.emergency.swelling", "Your face or tongue swells, or you wheeze", _E),
    Message("A.call.emergency.belly", "Very bad belly pain, or a hard, swollen belly", _E),
    Message("A.call.emergency.vomit-blood", "You vomit blood, or something like coffee grounds", _E),
    Message(
        "A.call.emergency.stroke",
        "A face droops, an arm is weak, or speech is slurred, suddenly",
        f"{_E} Signs of a stroke.",
    ),
    Message("A.call.emergency.retching", "Sudden pain in the chest or upper belly after vomiting", _E),
    Message("A.call.emergency.leg", "One leg swells up", f"{_E} Sign of a clot in the leg."),
    Message("A.call.emergency.fall", "You fall and hit your head, or cannot get up", _E),
)
UNIT = (
    Message("A.call.unit.vomit", "You vomit the bowel medicine", _U),
    Message("A.call.unit.belly", "Belly pain that stays or gets worse", _U),
    Message("A.call.unit.blood", "Blood in what comes out: clots, or more than streaks", _U),
    Message("A.call.unit.black", "What comes out is black like tar", _U),
    Message("A.call.unit.faint", "You nearly faint when you stand up", _U),
    Message("A.call.unit.heart", "Your heart races, or beats unevenly", _U),
    Message(
        "A.call.unit.headache",
        "Bad headache, muscle cramps or tingling",
        f"{_U} Signs of disturbed body salts.",
    ),
    Message("A.call.unit.nothing", "Hours after the first dose, nothing has come out", _U),
    Message("A.call.unit.sugar", "You have diabetes and your blood sugar is too low or too high", _U),
    Message("A.call.unit.bloody", "Belly pain, and then bloody diarrhoea", _U),
    Message(
        "A.call.unit.urine",
        "You pass very little urine, or it is very dark",
        f"{_U} Sign of too little water.",
    ),
    Message(
        "A.call.unit.sglt2",
        "You take dapagliflozin or the like (SGLT2), and feel sick or breathe fast",
        f"{_U} SGLT2: a kind of tablet such as dapagliflozin. It holds whatever the sugar is.",
    ),
    Message(
        "A.call.unit.shaking",
        "You often have much alcohol, and now you shake or sweat",
        f"{_U} Sign of withdrawal.",
    ),
    Message("A.call.unit.unfinished", "You cannot finish the bowel medicine", _U),
    Message("A.call.unit.ate", "You ate after your last meal, or took the wrong dose, or missed a step", _U),
    Message("A.call.unit.unsure", "You are not sure", _U),
)
TELL = (
    Message("B.call.tell.sore", "Sore skin from wiping", _T),
    Message("B.call.tell.streak", "A streak of blood on the paper, one time only", _T),
    Message("B.call.tell.cold", "You feel cold or tired", _T),
)
# Bleeding afterwards: one table for every page. Streaks are watched; clots, more than the unit's amount, or again: a
# call; more than its larger amount, faintness, a racing heart, or any of it on a blood thinner: an emergency.
_BLEEDING_EMERGENCY = {
    "spoon": Message("A.after.emergency.bleeding-spoon", "You bleed more than a spoonful", _AE),
    "half-cup": Message("A.after.emergency.bleeding-half-cup", "You bleed more than half a cup", _AE),
    "cup": Message("A.after.emergency.bleeding-cup", "You bleed more than a cup", _AE),
}
_BLEEDING_MUCH = Message("A.after.emergency.bleeding-much", "You bleed a lot", _AE)
_BLEEDING_UNIT = {
    "streaks": Message(
        "A.after.unit.bleeding-streaks", "Blood clots, more than streaks of blood, or bleeding again", _AU
    ),
    "spoon": Message(
        "A.after.unit.bleeding-spoon", "Blood clots, more than a spoonful, or bleeding again", _AU
    ),
}
_FEVER = Message("A.after.unit.fever-any", "Fever, or you shiver", _AU)
_FEVER_AT = Message(
    "A.after.unit.fever-at", "Fever of {temperature} or more, or you shiver", f"{_AU} {{temperature}}: 38 °C."
)
AFTER_EMERGENCY = (
    Message("A.after.emergency.faint", "You feel faint, or your heart races", _AE),
    Message("A.after.emergency.thinner", "You bleed at all and take a blood thinner", _AE),
    Message("A.after.emergency.pain", "Belly pain that is very bad or gets worse", _AE),
    Message("A.after.emergency.hard", "A hard, swollen belly", _AE),
    Message("A.after.emergency.left-shoulder", "Pain in the left shoulder", _AE),
    Message("A.after.emergency.breath", "You cannot get enough breath", _AE),
)
AFTER_UNIT = (
    Message("A.after.unit.pain", "Belly pain that stays", _AU),
    Message("A.after.unit.vomit", "You keep vomiting", _AU),
    *(sign for sign in UNIT if sign.id == "A.call.unit.black"),
    Message("A.after.unit.arm", "Your arm is hot, red and hard where the drip was", _AU),
)
SIGN_LEVELS = {
    ".".join(sign.id.split(".")[2:]): level
    for level, signs in (("emergency", EMERGENCY), ("unit", UNIT), ("tell", TELL))
    for sign in signs
}


def signs_at(level: str, levels: Mapping[str, str]) -> tuple[Message, ...]:
    """The signs that stand at a level: "emergency", "unit" or "tell".

    Args:
        levels: the unit's own, for the signs that it puts elsewhere.
    """
    return tuple(
        sign
        for sign in (*EMERGENCY, *UNIT, *TELL)
        if level == levels.get(name := ".".join(sign.id.split(".")[2:]), SIGN_LEVELS[name])
    )


def raised_only(levels: Mapping[str, str]) -> dict[str, str]:
    """The unit's levels where they are more careful than ours: a page in a plan's place knows less of the patient."""
    return {
        name: level for name, level in levels.items() if LEVELS.index(level) > LEVELS.index(SIGN_LEVELS[name])
    }


def for_notice(signs: tuple[Message, ...]) -> tuple[Message, ...]:
    """Without what everybody has done whose plan was taken down: eaten, or not finished the medicine."""
    return tuple(sign for sign in signs if sign.id not in ("A.call.unit.ate", "A.call.unit.unfinished"))


START = tuple(
    Message(
        f"A.start.{name}",
        english,
        "One reason to call before taking anything, in the list “Before you start”.",
    )
    for name, english in (
        ("stoma", "You have a stoma, or part of your bowel was removed"),
        ("pregnant", "You are pregnant, or might be"),
        ("organs", "You have kidney, heart or liver trouble"),
        ("fluid-limit", "You were told to limit how much you drink"),
        ("swallowing", "Swallowing is hard, or your drinks must be thickened"),
        ("blocked", "Your belly is swollen, or no wind comes out"),
        ("vomiting", "You are vomiting"),
        ("ill", "You have a fever or a new illness"),
        ("diarrhoea", "You have new diarrhoea, or blood in it"),
        ("diabetes", "You have diabetes, and nobody told you what to do with your medicine"),
        ("thinner", "You take a blood thinner, and nobody told you what to do with it"),
        ("lithium", "You take lithium"),
        ("fits", "You take medicine against fits (seizures)"),
        ("transplant", "You take medicine for a transplant"),
        ("allergy", "You are allergic to anything in the bowel medicine"),
        ("g6pd", "You have G6PD deficiency or phenylketonuria"),
        ("failed", "An earlier bowel preparation failed, or made you ill"),
        ("young", "You are under 18"),
        ("ward", "You are staying in a hospital or a care home"),
    )
)
# After the examination what is not about the preparation still holds; what would be said twice stands once.
_BEFORE_ONLY = {f"A.call.{name}" for name in (
    "emergency.belly", "emergency.breath", "unit.vomit", "unit.blood", "unit.nothing", "unit.ate", "unit.belly",
    "unit.faint", "unit.heart", "unit.black", "unit.unfinished", "unit.bloody", "emergency.retching",
)}  # fmt: skip
LATER_EMERGENCY = (*AFTER_EMERGENCY, *(sign for sign in EMERGENCY if sign.id not in _BEFORE_ONLY))
LATER_UNIT = (*AFTER_UNIT, *(sign for sign in UNIT if sign.id not in _BEFORE_ONLY))
# What stands below the lists, and again in the steps where it matters: one text, so that they cannot disagree.
UNTIL_ANSWERED = Message(
    "A.call.until",
    "Until someone answers, take no more of the bowel medicine.",
    "Below the signs for the unit.",
)
# Common practice, no source: low sugar is treated at any time; who cannot swallow safely gets nothing by mouth.
LOW_SUGAR = Message(
    "A.call.sugar",
    "Low blood sugar? Take glucose or sugar straight away, at any time. Then call.",
    "For people with diabetes, also when nothing may be taken by mouth any more.",
)
SUGAR_DROWSY = Message(
    "A.call.sugar-drowsy",
    "Too drowsy to swallow? Nothing by mouth. Ring the emergency number now: {emergency}.",
    "For people with diabetes and those with them, after “Low blood sugar?”.",
)
# What the page in the place of a plan may say with no file of the unit.
LATER = (*LATER_EMERGENCY, *LATER_UNIT, _BLEEDING_MUCH, _BLEEDING_UNIT["streaks"], _FEVER)
MESSAGES = (
    *EMERGENCY, *UNIT, *TELL, *AFTER_EMERGENCY, *AFTER_UNIT, *START,
    UNTIL_ANSWERED, LOW_SUGAR, SUGAR_DROWSY,
    *_BLEEDING_EMERGENCY.values(), _BLEEDING_MUCH, *_BLEEDING_UNIT.values(), _FEVER, _FEVER_AT,
)  # fmt: skip


def bleeding_signs(after: Aftercare | None) -> tuple[Message, Message]:
    """How much bleeding is an emergency, and how much a call: the unit's amounts, or none where it signed none."""
    if after is None:
        return _BLEEDING_MUCH, _BLEEDING_UNIT["streaks"]
    return _BLEEDING_EMERGENCY[after.emergency_over], _BLEEDING_UNIT[after.call_over]


def fever_sign(after: Aftercare | None) -> Message:
    """The sign of a fever: with {temperature} only where the unit signed one."""
    return _FEVER if after is None else _FEVER_AT
