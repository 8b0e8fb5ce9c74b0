"""The spot where the heater stands: weight, headroom, scale."""

from __future__ import annotations

from enum import StrEnum

from heatersel.errors import OutOfRangeError
from heatersel.water import density_kg_per_l

__all__ = [
    "HARD_MG_PER_L",
    "HEADROOM_M",
    "Hardness",
    "filled_mass_kg",
    "hardness_class",
    "scale_loss_frac",
]

HARD_MG_PER_L = 120.0  # upper end of moderately hard, USGS classes (seen)
HEADROOM_M = 0.15  # for connections above a tank; common practice, no source
SERVICE_SPACE_M = 0.762  # 30 in before the controls, standard work specifications (seen)
IGNITION_HEIGHT_M = 0.4572  # 18 in, IRC P2801.6, IFGC 305.3, UPC 507.13 (seen)

_EMPTY_KG_PER_L = 0.312  # 130 lb for 50 gal, an assumption where no weight is listed
_FILL_C = 10.0
_GRAIN_MG_PER_L = 17.1
_SCALE_PER_GRAIN = 0.04 / 5.0  # 4 % per 5 grains at 50 gal/day, laboratory study (seen)
_SCALE_BASE_L = 189.27  # 50 gal a day


class Hardness(StrEnum):
    """Hardness classes of the US Geological Survey."""

    SOFT = "soft"
    MODERATE = "moderately hard"
    HARD = "hard"
    VERY_HARD = "very hard"


def hardness_class(hardness_mg_per_l: float) -> Hardness:
    """Return the hardness class: up to 60 soft, 120 moderate, 180 hard, above very hard.

    Parameters
    ----------
    hardness_mg_per_l : float
        As calcium carbonate, 0 or more. [mg/L]

    Returns
    -------
    Hardness
        Its class.

    Raises
    ------
    OutOfRangeError
        If it is negative.

    References
    ----------
    .. [1] US Geological Survey, hardness of water.  (seen as quoted)
    """
    if hardness_mg_per_l < 0.0:
        raise OutOfRangeError.of("hardness", value=f"{hardness_mg_per_l:g} mg/L", allowed="0 up")
    for limit, name in ((60.0, Hardness.SOFT), (120.0, Hardness.MODERATE), (180.0, Hardness.HARD)):
        if hardness_mg_per_l <= limit:
            return name
    return Hardness.VERY_HARD


def scale_loss_frac(hardness_mg_per_l: float, daily_hot_l: float) -> float:
    """Return the efficiency a gas tank may lose to scale over 15 years, an upper guide.

    From accelerated laboratory runs that the water-softening trade commissioned, so take it as
    a most, not as a forecast. Limited to one.

    Parameters
    ----------
    hardness_mg_per_l : float
        Hardness. [mg/L]
    daily_hot_l : float
        Hot water a day. [L]

    Returns
    -------
    float
        Share of the efficiency lost. [-]

    Notes
    -----
    4 % per 5 grains/gal at 50 gal a day, proportional to both.

    References
    ----------
    .. [1] Laboratory study of softened and unsoftened water for the water-quality trade (2009),
       headline figures.  (seen as reported)

    Examples
    --------
    >>> round(scale_loss_frac(15 * 17.1, 189.27), 2)
    0.12
    """
    grains = hardness_mg_per_l / _GRAIN_MG_PER_L
    return min(1.0, _SCALE_PER_GRAIN * grains * daily_hot_l / _SCALE_BASE_L)


def filled_mass_kg(volume_l: float, empty_kg: float = 0.0) -> float:
    """Return the mass of a heater full of cold water.

    Parameters
    ----------
    volume_l : float
        Stored volume. [L]
    empty_kg : float
        Empty mass; 0 assumes 0.31 kg per litre (130 lb for 50 gal). [kg]

    Returns
    -------
    float
        Mass. [kg]

    Examples
    --------
    >>> round(filled_mass_kg(189.27, 58.97) * 2.20462)  # 50 gal, 130 lb empty
    547
    """
    return volume_l * density_kg_per_l(_FILL_C) + (empty_kg or _EMPTY_KG_PER_L * volume_l)
