"""Words of the drinking session on the card; the phone's scripts fill them in."""

from __future__ import annotations

from generator.page import symptoms
from generator.words.message import Message

_CARD = "On the card of what to do now, while the bowel medicine or clear drinks are taken."
WORDS = {
    "jugLeft": Message(
        "B.pace.left", "About {volume} is left in the jug.", f"{_CARD} Below the count of glasses."
    ),
    "nextAt": Message("A.pace.next", "Next glass at {time}.", _CARD),
    "nextNow": Message("A.pace.next-now", "You may take the next glass now.", _CARD),
    "paceEnd": Message(
        "A.pace.end", "At your pace it is finished at about {time}.", f"{_CARD} It: the dose."
    ),
    "paceBy": Message("A.pace.by", "It has to be finished by {time}.", f"{_CARD} It: the dose."),
    "paceIfNot": Message(
        "A.pace.if-not",
        "Is that too fast for you? Call the unit now.",
        f"{_CARD} That: the next glass at its time.",
    ),
    "paceCall": Message("A.pace.call", "Call the unit now. Say how many glasses you have taken.", _CARD),
    "paceUntil": Message(
        "A.pace.until",
        "Until someone answers, go no faster than the steps say.",
        "After “Call the unit now”.",
    ),
    "stopUntil": symptoms.UNTIL_ANSWERED,
    "pausedAt": Message(
        "A.pace.paused",
        "You paused at {time}.",
        "After the button “I feel sick.” was pressed. The unit’s answer follows.",
    ),
    "resume": Message("B.pace.resume", "I am going on now", "Button. Ends the pause."),
    "jugAsk": Message(
        "B.pace.jug",
        "Is the jug empty? If some is left, go on at the same pace.",
        "When all glasses are counted.",
    ),
    "jugEmpty": Message("B.pace.jug-empty", "The jug is empty", "Button. The dose has been taken."),
    "started": Message(
        "B.pace.started",
        "Have you started? When?",
        "When no glass is counted at the end of the dose’s time. Buttons with times and “Not yet” follow.",
    ),
    "notYet": Message("B.pace.not-yet", "Not yet", "Button below “Have you started? When?”."),
    "glassMarked": Message(
        "B.pace.marked", "My glass is marked", "Button. The height is marked on the glass with tape."
    ),
}
MESSAGES = tuple(WORDS.values())
