"""Weight, hardness and scale."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI

from heatersel.cautions.placement import (
    Hardness,
    filled_mass_kg,
    hardness_class,
    scale_loss_frac,
)
from heatersel.errors import OutOfRangeError


@pytest.mark.parametrize(
    ("mg_per_l", "name"),
    [
        (0, Hardness.SOFT), (60, Hardness.SOFT), (60.1, Hardness.MODERATE),
        (120, Hardness.MODERATE), (120.1, Hardness.HARD), (180, Hardness.HARD),
        (180.1, Hardness.VERY_HARD),
    ],
)  # fmt: skip
def test_classes_of_the_geological_survey(mg_per_l, name):
    assert hardness_class(mg_per_l) is name


def test_negative_hardness_is_refused():
    with pytest.raises(OutOfRangeError, match="hardness"):
        hardness_class(-1.0)


@pytest.mark.parametrize(
    ("grains", "gallons", "loss"), [(30, 50, 0.24), (30, 100, 0.48), (5, 50, 0.04)]
)
def test_scale_headlines_of_the_laboratory_study(grains, gallons, loss):
    # 2009, commissioned by the softening trade: 4 % per 5 grains at 50 gal a day, 24 % and 48 %
    # at 30 grains (seen as reported)
    assert scale_loss_frac(grains * 17.1, gallons * 3.785412) == pytest.approx(loss, rel=1e-3)


def test_scale_loss_ends_at_everything():
    assert scale_loss_frac(2000.0, 2000.0) == 1.0


def test_full_tank_weighs_its_water_and_its_steel():
    water = PropsSI("D", "T", 283.15, "P", 300e3, "Water") / 1000.0
    assert filled_mass_kg(200.0, 60.0) == pytest.approx(200.0 * water + 60.0, rel=1e-4)


def test_unlisted_weight_is_assumed_from_130_lb_for_50_gal():
    assert filled_mass_kg(189.27) - 189.27 * 0.99970 == pytest.approx(59.0, abs=0.3)
