"""Air for burners that take it from the room, by the United States' fuel-gas codes.

Canada sizes air supply by the tables of CSA B149.1; nothing here is used for a Canadian house.
Sealed-combustion (direct-vent) burners take outdoor air and are left out of every sum.
"""

from __future__ import annotations

from dataclasses import dataclass

from heatersel.cautions.words import factor
from heatersel.errors import OutOfRangeError
from heatersel.job.site import OpeningRoute

__all__ = [
    "ACH_CAP",
    "ACH_STANDARD_MINIMUM",
    "RoomBurners",
    "known_leakage_volume_m3",
    "opening_cm2_each",
    "required_volume_m3",
    "standard_volume_m3",
]

STANDARD_FT3_PER_MBH = 50.0  # NFPA 54 9.3.2.1, UPC 701.4.1, IFGC 304.5.1 (seen)
LEAKAGE_FT3_PER_MBH = 21.0  # divided by ACH; not fan-assisted, IFGC equation 3-1 (seen)
LEAKAGE_FAN_FT3_PER_MBH = 15.0  # divided by ACH; fan-assisted, IFGC equation 3-2 (seen)
ACH_CAP = 0.60  # no more may be used in either equation (seen)
ACH_STANDARD_MINIMUM = 0.40  # known to leak less: the standard method is barred (seen)
INDOOR_MINIMUM_IN2 = 100.0  # NFPA 54 9.3.2.3 (seen)

_BTUH_PER_IN2 = {
    OpeningRoute.INDOORS: 1000.0,  # each of two, NFPA 54 9.3.2.3 (seen)
    OpeningRoute.OUTDOORS_DIRECT: 4000.0,  # each of two, IFGC 304.6.1, IRC M1703.2 (seen)
    OpeningRoute.VERTICAL_DUCTS: 4000.0,  # same
    OpeningRoute.HORIZONTAL_DUCTS: 2000.0,  # same
    OpeningRoute.SINGLE_OUTDOORS: 3000.0,  # one high opening, NFPA 54 9.3.3.2 (seen)
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomBurners:
    """Input of the burners that share the room's air, direct-vent ones left out.

    Parameters
    ----------
    natural_kw : float
        Not fan-assisted. [kW]
    fan_assisted_kw : float
        Fan-assisted. [kW]
    """

    natural_kw: float = 0.0
    fan_assisted_kw: float = 0.0

    @property
    def total_kw(self) -> float:
        """Input of all. [kW]"""
        return self.natural_kw + self.fan_assisted_kw


def standard_volume_m3(burners: RoomBurners) -> float:
    """Return the room that the standard method asks for: 50 ft³ per 1000 Btu/h.

    Parameters
    ----------
    burners : RoomBurners
        All burners on this room's air.

    Returns
    -------
    float
        Volume of the room with adjoining rooms that are always open to it. [m³]

    References
    ----------
    .. [1] NFPA 54 9.3.2.1; IFGC 304.5.1; UPC 701.4.1.  (seen)

    Examples
    --------
    >>> round(standard_volume_m3(RoomBurners(natural_kw=11.7228)), 2)  # 40 000 Btu/h, 2000 ft3
    56.63
    """
    return _room_m3(STANDARD_FT3_PER_MBH, burners.total_kw)


def known_leakage_volume_m3(burners: RoomBurners, air_changes_per_h: float) -> float:
    """Return the room that the known-air-infiltration method asks for.

    Parameters
    ----------
    burners : RoomBurners
        All burners on this room's air.
    air_changes_per_h : float
        Measured air leakage; values above 0.60 count as 0.60. [1/h]

    Returns
    -------
    float
        Volume. [m³]

    Raises
    ------
    OutOfRangeError
        If the leakage is not above zero.

    Notes
    -----
    21/ACH ft³ per 1000 Btu/h for burners that are not fan-assisted, 15/ACH for those that
    are; the two are added.

    References
    ----------
    .. [1] NFPA 54 9.3.2.2; IFGC equations 3-1 and 3-2.  (seen)
    """
    if air_changes_per_h <= 0.0:
        raise OutOfRangeError.of("air changes", value=air_changes_per_h, allowed="above 0 per hour")
    ach = min(air_changes_per_h, ACH_CAP)
    return _room_m3(LEAKAGE_FT3_PER_MBH / ach, burners.natural_kw) + _room_m3(
        LEAKAGE_FAN_FT3_PER_MBH / ach, burners.fan_assisted_kw
    )


def required_volume_m3(burners: RoomBurners, air_changes_per_h: float | None) -> float:
    """Return the least room volume by the methods that the code admits.

    Below 0.40 air changes only the known-leakage method counts; otherwise the smaller of the
    two; the standard method alone where the leakage is not known.

    Parameters
    ----------
    burners : RoomBurners
        All burners on this room's air.
    air_changes_per_h : float or None
        Measured air leakage. [1/h]

    Returns
    -------
    float
        Volume. [m³]
    """
    standard = standard_volume_m3(burners)
    if air_changes_per_h is None:
        return standard
    known = known_leakage_volume_m3(burners, air_changes_per_h)
    return known if air_changes_per_h < ACH_STANDARD_MINIMUM else min(known, standard)


def opening_cm2_each(burners: RoomBurners, route: OpeningRoute) -> float:
    """Return the free area that each combustion-air opening needs.

    Parameters
    ----------
    burners : RoomBurners
        All burners on this room's air.
    route : OpeningRoute
        Where the openings lead. All but the single one are pairs, high and low.

    Returns
    -------
    float
        Net free area of each opening; louvres and screens reduce it (75 % free for metal
        louvres, 25 % for wood, where not stated). [cm²]

    References
    ----------
    .. [1] NFPA 54 9.3.2.3 (indoors), 9.3.3.1 and 9.3.3.2 (outdoors); IFGC 304.6; IRC
       M1703.2.  (seen)

    Examples
    --------
    >>> area = opening_cm2_each(RoomBurners(natural_kw=11.7228), OpeningRoute.INDOORS)
    >>> round(area / 6.4516)  # 40 000 Btu/h: the floor of 100 in2 holds
    100
    """
    area_in2 = burners.total_kw * factor("kW", "Btu/h") / _BTUH_PER_IN2[route]
    if route is OpeningRoute.INDOORS:
        area_in2 = max(area_in2, INDOOR_MINIMUM_IN2)
    return area_in2 * factor("in2", "cm2")


def _room_m3(ft3_per_mbh: float, input_kw: float) -> float:
    return ft3_per_mbh * factor("ft3", "m3") * input_kw * factor("kW", "MBH")
