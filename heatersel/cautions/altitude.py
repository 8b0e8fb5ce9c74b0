"""What thin air takes from a burner, in the readings of the codes."""

from __future__ import annotations

from heatersel.cautions.jurisdiction import Country
from heatersel.job.site import AltitudeReading

__all__ = ["CANADA_ASK_ABOVE_M", "DERATE_ABOVE_M", "altitude_derate_frac"]

DERATE_ABOVE_M = 609.6  # 2000 ft
CANADA_ASK_ABOVE_M = 1371.6  # 4500 ft: above that the authority decides
_PER_1000_FT = 0.04
_M_PER_1000_FT = 304.8
_CANADA_FRAC = 0.10
_SLACK_M = 0.01  # a height typed in feet is at the limit after conversion


def altitude_derate_frac(
    elevation_m: float, country: Country, reading: AltitudeReading = AltitudeReading.SEA_LEVEL
) -> float:
    """Return the share of a burner's sea-level input that is lost at an elevation.

    For burners without an altitude rating of their own; a listed high-altitude rating or the
    heater's instructions come first.

    Parameters
    ----------
    elevation_m : float
        Height above sea level. [m]
    country : Country
        Whose rule applies.
    reading : AltitudeReading
        United States only: whether 4 % per 1000 ft counts from sea level (the larger derate,
        the default) or only the height above 2000 ft.

    Returns
    -------
    float
        Share of the input lost, 0 up to 2000 ft (609.6 m). [-]

    Notes
    -----
    United States: above 2000 ft, 4 % for each 1000 ft above sea level [1]_, or above 2000 ft
    in another published reading; at 5000 ft that is 20 % or 12 %. Canada: 10 % from 2000 to
    4500 ft [2]_; above that the authority decides, and the 4 % per 1000 ft from sea level is
    used here as a cautious estimate until it does.

    References
    ----------
    .. [1] NFPA 54 (2015 and before), input rating at high altitude.  (seen in part)
    .. [2] CSA B149.1, high-altitude rating, as quoted in appliance instructions.  (seen)

    Examples
    --------
    >>> round(altitude_derate_frac(1524.0, Country.US), 3)
    0.2
    >>> round(altitude_derate_frac(1219.2, Country.CANADA), 3)
    0.1
    """
    if elevation_m <= DERATE_ABOVE_M + _SLACK_M:
        return 0.0
    if country is Country.CANADA and elevation_m <= CANADA_ASK_ABOVE_M + _SLACK_M:
        return _CANADA_FRAC
    from_m = DERATE_ABOVE_M if reading is AltitudeReading.ABOVE_2000_FT else 0.0
    if country is Country.CANADA:
        from_m = 0.0
    return min(1.0, _PER_1000_FT * (elevation_m - from_m) / _M_PER_1000_FT)
