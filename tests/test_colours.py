"""The measures of colour themselves, against published values."""

from __future__ import annotations

import pytest

from tests.colours import Lab, Rgb, contrast, delta_e, lab_seen_by, luminance


# Sharma, Wu and Dalal 2005, table 1: pairs that find out the usual mistakes (hue around zero, mean hue, grey).
@pytest.mark.parametrize(
    ("one", "other", "difference"),
    [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, 3.1571, -77.2803), (50.0, 0.0, -82.7485), 2.8615),
        ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
        ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0009), 7.1792),
        ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0011), 7.2195),
        ((50.0, -0.001, 2.49), (50.0, 0.0009, -2.49), 4.8045),
        ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
        ((50.0, 2.5, 0.0), (56.0, -27.0, -3.0), 31.9030),
        ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
        ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
        ((90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441),
        ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
    ],
)
def test_differences_are_the_published_ones(one: Lab, other: Lab, difference: float) -> None:
    assert delta_e(one, other) == pytest.approx(difference, abs=0.0001)
    assert delta_e(other, one) == pytest.approx(difference, abs=0.0001)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    # WCAG 2.2: white on black is 21:1; #767676 on white is the known edge of 4.5:1, #595959 that of 7:1.
    [
        ((255, 255, 255), (0, 0, 0), 21.0),
        ((118, 118, 118), (255, 255, 255), 4.54),
        ((89, 89, 89), (255, 255, 255), 7.0),
    ],
)
def test_contrast_is_the_published_one(one: Rgb, other: Rgb, ratio: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=0.01)


def test_greys_stay_and_red_and_green_come_together() -> None:
    """Machado et al. 2009: each row sums to 1, so grey is grey to all; red and green are near for protan and deutan."""
    for eyes in ("protan", "deutan", "tritan"):
        assert delta_e(lab_seen_by((128, 128, 128), eyes), lab_seen_by((128, 128, 128), "everyone")) < 0.1
    olive, rust = (140, 130, 0), (175, 110, 0)
    plain = delta_e(lab_seen_by(olive, "everyone"), lab_seen_by(rust, "everyone"))
    for eyes in ("protan", "deutan"):
        assert delta_e(lab_seen_by(olive, eyes), lab_seen_by(rust, eyes)) < plain / 2
    assert luminance((255, 255, 255)) == pytest.approx(1)
