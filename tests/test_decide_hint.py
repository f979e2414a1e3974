"""What a row that waits asks for: the safest answer first, nothing to paste unread, nothing beside the point."""

from __future__ import annotations

from generator.desk.decisions import undecided
from generator.finding import warning
from generator.materials.unit_folder import read_unit_folder
from tests.command import EXAMPLES

FOLDER = read_unit_folder(EXAMPLES / "units" / "words")


def hint(kind: str) -> tuple[str, str]:
    """The problem and the remedy for a finding of that kind in the row A-1."""
    finding = warning(kind, "row", "p", "r", decision=True)
    [told] = undecided("A-1", (finding,), {}, FOLDER, given=False)
    return told.problem, told.remedy


def test_for_a_medicine_call_first_comes_first_and_going_ahead_last() -> None:
    problem, remedy = hint("needs-unit-instruction:iron")
    assert problem == "No plan was built: somebody decides first about “iron”."
    assert remedy == (
        "A nurse or doctor decides; then record it: daybefore decide … --ref A-1 --kind needs-unit-instruction:iron "
        "--role ROLE --choice CHOICE. CHOICE: call-first (the page says: call the unit before you change this "
        "medicine); or iron-days (Iron: some days without); or go-ahead (somebody has looked into it, and the plan is "
        "right as it is)."
    )


def test_a_factor_is_offered_where_the_units_own_hints_find_its_title() -> None:
    """“ileostom” hints at a stoma and stands in the factor's title; the other factor is about something else."""
    _, remedy = hint("needs-unit-instruction:stoma")
    assert "CHOICE: pouch (Ileostomy, or a bowel that was diverted); or go-ahead" in remedy
    assert "slow" not in remedy
    assert "call-first" not in remedy  # a stoma is no medicine


def test_no_hint_can_be_pasted_and_goes_ahead() -> None:
    for kind in ("short-notice", "needs-unit-instruction:iron", "needs-unit-instruction:stoma"):
        assert "--choice CHOICE" in hint(kind)[1]
        assert "--choice go-ahead" not in hint(kind)[1]
