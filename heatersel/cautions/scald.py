"""How long skin withstands hot water, from published exposure tables.

Between two rows of a table the logarithm of time falls on a straight line with temperature;
nothing is extrapolated. The published tables disagree by up to two times for adults and five
times between adult and child, so a warning uses the shortest figure that any of them gives.
"""

from __future__ import annotations

import math
from collections import defaultdict
from functools import lru_cache
from itertools import pairwise

from heatersel.errors import OutOfRangeError, UnknownChoiceError
from heatersel.reference import records

__all__ = ["damage_integral_time_s", "delivered_temp_c", "scald_time_s", "shortest_scald_time_s"]

FIXTURE_LIMIT_US_C = 48.8889  # 120 degF, ASSE 1016 / ASME A112.1016 / CSA B125.16 limit stop
FIXTURE_LIMIT_CANADA_C = 49.0  # Ontario Building Code 7.6.5.1

_FREQUENCY_PER_S = 3.1e98  # Henriques and Moritz (1947), from memory
_ACTIVATION_K = 75000.0  # same
_KELVIN = 273.15
_INTEGRAL_TOP_C = 52.0
_AT_ROW_K = 1e-3  # counts as the temperature of a printed row

Series = tuple[tuple[float, float], ...]


@lru_cache(maxsize=1)
def _series() -> dict[tuple[str, str, int], Series]:
    """Return each published series as rows of (temperature in °C, time in s), coolest first."""
    found: dict[tuple[str, str, int], list[tuple[float, float]]] = defaultdict(list)
    numbers = {"temperature": "degC", "time": "s", "degree": ""}
    for row in records("safety/scald_times", numbers):
        key = (row["series"], row["population"], int(row["degree"]))
        found[key].append((row["temperature"], row["time"]))
    return {key: tuple(sorted(rows)) for key, rows in found.items()}


def scald_time_s(temp_c: float, series: str, degree: int = 3) -> float | None:
    """Return the exposure time to a burn in one published series.

    Parameters
    ----------
    temp_c : float
        Temperature of the water on the skin. [°C]
    series : str
        Name of the series in datasets/safety/scald_times.csv.
    degree : int
        2 for a blistering burn, 3 for a burn through the skin.

    Returns
    -------
    float or None
        Time; above the hottest row that row's time (an upper bound), below the coolest row
        None. [s]

    Raises
    ------
    UnknownChoiceError
        If there is no such series.

    References
    ----------
    .. [1] Moritz, A. R., Henriques, F. C., "Studies of thermal injury II", Am. J. Pathol. 23
       (1947) 695; the exposure table as reproduced for anti-scald valves.  (table seen,
       attribution from memory)

    Examples
    --------
    >>> round(scald_time_s(54.444, "exposure_table_degree_3"), 1)
    40.7
    """
    for (name, _, found_degree), rows in _series().items():
        if name == series and found_degree == degree:
            return _interpolated(temp_c, rows)
    raise UnknownChoiceError.of(
        "series", value=f"{series}, degree {degree}",
        allowed=", ".join(sorted({f"{n} ({d})" for n, _, d in _series()})),
    )  # fmt: skip


def _interpolated(temp_c: float, rows: Series) -> float | None:
    if temp_c < rows[0][0] - _AT_ROW_K:
        return None
    for (cool_c, long_s), (hot_c, short_s) in pairwise(rows):
        if abs(temp_c - hot_c) < _AT_ROW_K:
            return short_s
        if temp_c < hot_c:
            share = max(0.0, (temp_c - cool_c) / (hot_c - cool_c))
            return float(long_s * (short_s / long_s) ** share)
    return rows[-1][1]


def shortest_scald_time_s(temp_c: float, *, child: bool = False) -> float | None:
    """Return the shortest published time in which water of this temperature burns skin.

    Parameters
    ----------
    temp_c : float
        Temperature of the water on the skin. [°C]
    child : bool
        Whether the series for infants and children count too.

    Returns
    -------
    float or None
        Shortest time over all series, second and third degree; None where no series reaches
        that low. [s]

    Notes
    -----
    Each series is interpolated by :func:`scald_time_s`; the children's rows are partly from
    memory.

    Examples
    --------
    >>> round(shortest_scald_time_s(60.0), 1), round(shortest_scald_time_s(60.0, child=True), 1)
    (3.0, 1.0)
    """
    times = [
        time
        for (_, population, _), rows in _series().items()
        if (child or population == "adult") and (time := _interpolated(temp_c, rows)) is not None
    ]
    return min(times, default=None)


def damage_integral_time_s(basal_temp_c: float) -> float:
    """Return the time to injury of skin whose basal layer is held at a constant temperature.

    An independent check of the tables below about 52 °C. Above that the skin's own warming
    takes most of the time, so the formula does not hold for water temperature.

    Parameters
    ----------
    basal_temp_c : float
        Temperature of the basal layer, 43 to 52. [°C]

    Returns
    -------
    float
        Time at which the damage integral reaches 1. [s]

    Raises
    ------
    OutOfRangeError
        If the temperature lies outside that range.

    Notes
    -----
    1 = P exp(-dE / (R T)) t with P = 3.1e98 1/s and dE/R = 75 000 K [1]_. The result changes
    about fivefold if dE/R is taken as 75 530 K.

    References
    ----------
    .. [1] Henriques, F. C., Moritz, A. R., "Studies of thermal injury I", Am. J. Pathol. 23
       (1947) 531.  (constants from memory)

    Examples
    --------
    >>> round(damage_integral_time_s(49.0))
    414
    """
    if not 43.0 <= basal_temp_c <= _INTEGRAL_TOP_C:
        raise OutOfRangeError.of(
            "basal temperature", value=f"{basal_temp_c:g} °C", allowed="43 to 52 °C",
            fix="above that read the exposure tables",
        )  # fmt: skip
    return math.exp(_ACTIVATION_K / (basal_temp_c + _KELVIN)) / _FREQUENCY_PER_S


def delivered_temp_c(
    store_c: float, *, tempered: bool, valve_c: float = FIXTURE_LIMIT_CANADA_C
) -> float:
    """Return the temperature that reaches the fixtures.

    Parameters
    ----------
    store_c : float
        Temperature at which water leaves the heater. [°C]
    tempered : bool
        Whether a tempering (mixing) valve stands at the heater.
    valve_c : float
        Setting of that valve. [°C]

    Returns
    -------
    float
        The valve's setting where it is lower than the store, else the store. [°C]
    """
    return min(store_c, valve_c) if tempered else store_c
