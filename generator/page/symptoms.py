"""When to call: one message per warning sign, so that a dropped sign is a missing message, not a shorter list.

Signs and levels: the trade's usual table, from labels of the medicines (seizure, arrhythmia, aspiration, allergy
and ischaemic colitis warnings), Paszat et al. 2021 (bleeding within 14 days) and common practice. A unit's own
signed table takes its place later; where none is signed, the careful level stands.
"""

from __future__ import annotations

from generator.words.message import Message

_E = "A warning sign under the heading “Ring the emergency number now”. One sign, nothing added."
_U = "A warning sign under the heading “Stop and ring the unit now”. One sign, nothing added."
_T = "Something harmless under the heading “Carry on, and tell us when you arrive”."
_AE = "A warning sign after the examination, under “Ring the emergency number now”."
_AU = "A warning sign after the examination, under “Ring the unit now”."

EMERGENCY = (
    Message("A.call.emergency.chest", "Pain in the chest", _E),
    Message("A.call.emergency.breath", "You cannot get enough breath, or you choke while drinking", _E),
    Message("A.call.emergency.collapse", "You collapse, or somebody cannot wake you", _E),
    Message("A.call.emergency.fit", "A fit (seizure)", _E),
    Message("A.call.emergency.confused", "You are suddenly confused or very drowsy", _E),
    Message("A.call.emergency.swelling", "Your face or tongue swells, or you wheeze", _E),
    Message("A.call.emergency.belly", "Very bad belly pain, or a hard, swollen belly", _E),
    Message("A.call.emergency.vomit-blood", "You vomit blood, or something like coffee grounds", _E),
    Message("A.call.emergency.stroke", "Face, arm or speech suddenly fails", f"{_E} Signs of a stroke."),
    Message("A.call.emergency.fall", "You fall and hit your head, or cannot get up", _E),
)
UNIT = (
    Message("A.call.unit.vomit", "You vomit the bowel medicine", _U),
    Message("A.call.unit.belly", "Belly pain that stays or gets worse", _U),
    Message("A.call.unit.blood", "Blood in what comes out: clots, or more than a spoonful", _U),
    Message("A.call.unit.black", "What comes out is black like tar", _U),
    Message("A.call.unit.faint", "You faint, or nearly faint when you stand up", _U),
    Message("A.call.unit.heart", "Your heart races, or beats unevenly", _U),
    Message(
        "A.call.unit.headache", "Bad headache, cramps or tingling", f"{_U} Signs of disturbed body salts."
    ),
    Message("A.call.unit.nothing", "Hours after the first dose, nothing has come out", _U),
    Message("A.call.unit.sugar", "You have diabetes and your blood sugar is too low or too high", _U),
    Message("A.call.unit.ate", "You ate, or took the wrong dose, or missed a step", _U),
    Message("A.call.unit.unsure", "You are not sure", _U),
)
TELL = (
    Message("B.call.tell.sore", "Sore skin from wiping", _T),
    Message("B.call.tell.streak", "A streak of blood on the paper, once", _T),
    Message("B.call.tell.cold", "You feel cold or tired", _T),
)
AFTER_EMERGENCY = (
    Message("A.after.emergency.bleeding", "You bleed more than half a cup, or feel faint", _AE),
    Message("A.after.emergency.thinner", "You bleed at all and take a blood thinner", _AE),
    Message("A.after.emergency.pain", "Belly pain that is very bad or gets worse", _AE),
    Message("A.after.emergency.hard", "A hard, swollen belly", _AE),
    Message("A.after.emergency.shoulder", "Pain in the left shoulder, or you feel faint", _AE),
    Message("A.after.emergency.breath", "You cannot get enough breath", _AE),
)
AFTER_UNIT = (
    Message("A.after.unit.bleeding", "Blood clots, more than a spoonful, or bleeding again", _AU),
    Message("A.after.unit.fever", "Fever of 38 degrees or more", f"{_AU} Celsius."),
    Message("A.after.unit.vomit", "You keep vomiting", _AU),
    Message("A.after.unit.arm", "Your arm is hot, red and hard where the drip was", _AU),
)
START = tuple(
    Message(
        f"A.start.{name}",
        english,
        "One reason to call before taking anything, in the list “Before you start”.",
    )
    for name, english in (
        ("stoma", "You have a stoma, or part of your bowel was removed"),
        ("pregnant", "You are pregnant, or might be"),
        ("organs", "Your kidneys, heart or liver are weak"),
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
        ("ward", "You are staying in a hospital or a home"),
    )
)
# After the examination what is not about the preparation still holds; what would be said twice stands once.
_BEFORE_ONLY = {f"A.call.{name}" for name in (
    "emergency.belly", "emergency.breath", "unit.vomit", "unit.blood", "unit.nothing", "unit.ate",
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
    "Low blood sugar? Take glucose or sugar at once, at any time. Then call.",
    "For people with diabetes, also when nothing may be taken by mouth any more.",
)
SUGAR_DROWSY = Message(
    "A.call.sugar-drowsy",
    "Too drowsy to swallow? Nothing by mouth. Ring the emergency number now: {emergency}.",
    "For people with diabetes and those with them, after “Low blood sugar?”.",
)
MESSAGES = (
    *EMERGENCY, *UNIT, *TELL, *AFTER_EMERGENCY, *AFTER_UNIT, *START,
    UNTIL_ANSWERED, LOW_SUGAR, SUGAR_DROWSY,
)  # fmt: skip
