"""Gas pipe below 1.5 psi: what a pipe carries, what a branch tree loses, which part is too small.

The equation and the bores are those behind the printed capacity tables of the fuel-gas codes;
those tables are met within 0.4 % (read) and 1.2 % (remembered, three figures). Flexible tube
(CSST) has no bore to compute with: the maker's listed table decides, and only the published
propane table is kept here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from heatersel.cautions.words import factor
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource
from heatersel.job.site import GasMaterial, GasPipe, GasSegment, PipeSize
from heatersel.reference import records

__all__ = [
    "ALLOWED_DROP_KPA",
    "GASES",
    "Gas",
    "PipeCheck",
    "SegmentCheck",
    "check_gas_pipe",
    "flexible_tube_capacity_kw",
    "pipe_capacity_m3_per_h",
    "pressure_drop_kpa",
]

ALLOWED_DROP_KPA = 0.124545  # 0.5 in of water column, the usual table of IFGC 402.4

_ELBOW_DIAMETERS = 30.0  # equivalent length of a 90-degree elbow; handbook value, memory
_TEE_DIAMETERS = 60.0  # of a tee through its branch; handbook value, memory
_CONSTANT = 2313.0
_BORE_POWER = 2.623
_DROP_POWER = 0.541


@dataclass(frozen=True, slots=True, kw_only=True)
class Gas:
    """What the sizing equation needs of a gas.

    Parameters
    ----------
    cr : float
        Factor for specific gravity and viscosity in the low-pressure equation. [-]
    heat_kwh_per_m3 : float
        Higher heating value. [kWh/m³]
    """

    cr: float
    heat_kwh_per_m3: float


GASES = {
    EnergySource.NATURAL_GAS: Gas(cr=0.6094, heat_kwh_per_m3=10.3497),
    EnergySource.PROPANE: Gas(cr=1.2462, heat_kwh_per_m3=25.7501),
}
"""Cr: 2018 IRC table G2413.4 notes (seen). Heat: natural gas 1000 Btu/ft³, the trade's round
figure, on the safe side of the usual 1030; propane 2488 Btu/ft³, which reproduces 2018 IFGC
table 402.4(28) (computed)."""


def pipe_capacity_m3_per_h(bore_mm: float, length_m: float, drop_kpa: float, gas: Gas) -> float:
    """Return the gas flow that a length of pipe passes at a pressure drop.

    Parameters
    ----------
    bore_mm : float
        Inside diameter. [mm]
    length_m : float
        Length with fittings, above 0. [m]
    drop_kpa : float
        Pressure drop. [kPa]
    gas : Gas
        The gas.

    Returns
    -------
    float
        Flow at standard conditions. [m³/h]

    Raises
    ------
    OutOfRangeError
        If length or bore is not above 0.

    Notes
    -----
    Q = 2313 D^2.623 (dH / (Cr L))^0.541 with Q in ft³/h, D in inches, dH in inches of water
    and L in feet, for supply below 1.5 psi [1]_. The other printed form of the equation, with
    19.17, gives 0.6 % more.

    References
    ----------
    .. [1] IFGC and NFPA 54, low-pressure gas equation; factors in 2018 IRC table G2413.4.
       (seen)

    Examples
    --------
    >>> natural = GASES[EnergySource.NATURAL_GAS]
    >>> flow = pipe_capacity_m3_per_h(20.93, 6.096, ALLOWED_DROP_KPA, natural)
    >>> round(flow * 35.3147)  # 3/4 in, 20 ft: printed 247 ft3/h
    247
    """
    if bore_mm <= 0.0 or length_m <= 0.0:
        raise OutOfRangeError.of(
            "gas pipe", value=f"{bore_mm:g} mm bore, {length_m:g} m", allowed="both above 0"
        )
    bore_in = bore_mm * factor("mm", "inch")
    drop_per_ft = drop_kpa * factor("kPa", "inWC") / (gas.cr * length_m * factor("m", "ft"))
    flow_ft3_h = float(_CONSTANT * bore_in**_BORE_POWER * drop_per_ft**_DROP_POWER)
    return flow_ft3_h * factor("ft3", "m3")


def pressure_drop_kpa(flow_kw: float, bore_mm: float, length_m: float, gas: Gas) -> float:
    """Return the pressure that a flow loses along a pipe; the inverse of the capacity.

    Parameters
    ----------
    flow_kw : float
        Heat rate carried. [kW]
    bore_mm, length_m, gas
        As for :func:`pipe_capacity_m3_per_h`.

    Returns
    -------
    float
        Pressure drop. [kPa]
    """
    if flow_kw <= 0.0:
        return 0.0
    at_one_kpa = pipe_capacity_m3_per_h(bore_mm, length_m, 1.0, gas) * gas.heat_kwh_per_m3
    return float((flow_kw / at_one_kpa) ** (1.0 / _DROP_POWER))


def flexible_tube_capacity_kw(
    size: PipeSize, length_m: float, source: EnergySource
) -> float | None:
    """Return what flexible tube of a hydraulic diameter carries, from the published table.

    Parameters
    ----------
    size : PipeSize
        One of the EHD sizes.
    length_m : float
        Length; the next longer row of the table is used. [m]
    source : EnergySource
        Only propane at 11 in of water with a drop of 0.5 in is tabulated.

    Returns
    -------
    float or None
        Capacity; None for another gas, or beyond the table. [kW]

    References
    ----------
    .. [1] 2018 IRC table G2413.4(16), IFGC 402.4(32).  (seen)

    Examples
    --------
    >>> kw = flexible_tube_capacity_kw(PipeSize.EHD_23, 6.096, EnergySource.PROPANE)
    >>> round(kw * 3.41214)  # 20 ft, kBtu/h
    183
    """
    if source is not EnergySource.PROPANE:
        return None
    rows = [row for row in _csst() if f"EHD {row['ehd']}" == size.value]
    long_enough = [row for row in rows if row["length"] >= length_m - 1e-6]
    return min(long_enough, key=lambda row: row["length"])["capacity"] if long_enough else None


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentCheck:
    """How one segment fares.

    Parameters
    ----------
    name : str
        The segment.
    size : PipeSize
        Its size.
    flow_kw : float
        Heat rate through it with everything burning. [kW]
    length_m : float
        Its length with fittings. [m]
    drop_kpa : float or None
        Pressure it loses; None for flexible tube. [kPa]
    capacity_kw : float or None
        What its size carries over the longest run; None where no table says. [kW]
    smallest_size : PipeSize or None
        Smallest size of its material that carries the flow; None if none listed does.
    """

    name: str
    size: PipeSize
    flow_kw: float
    length_m: float
    drop_kpa: float | None
    capacity_kw: float | None
    smallest_size: PipeSize | None

    @property
    def is_short(self) -> bool | None:
        """Whether it carries less than flows; None where that is not known."""
        return None if self.capacity_kw is None else self.capacity_kw < self.flow_kw - 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeCheck:
    """How the gas pipe of a house fares.

    Parameters
    ----------
    segments : tuple of SegmentCheck
        In the order given.
    longest_m : float
        Longest run from the meter, with fittings. [m]
    drop_kpa : float or None
        Pressure lost on the way to the heater; None if part of the way is flexible tube. [kPa]
    total_kw : float
        Everything on the meter. [kW]
    """

    segments: tuple[SegmentCheck, ...]
    longest_m: float
    drop_kpa: float | None
    total_kw: float

    @property
    def short(self) -> tuple[SegmentCheck, ...]:
        """Segments that carry too little."""
        return tuple(segment for segment in self.segments if segment.is_short)

    @property
    def unknown(self) -> tuple[SegmentCheck, ...]:
        """Segments whose capacity no table here gives."""
        return tuple(segment for segment in self.segments if segment.is_short is None)


def check_gas_pipe(
    pipe: GasPipe, source: EnergySource, heater_kw: float, other_kw: float
) -> PipeCheck | None:
    """Return how a gas pipe fares with a new water heater on it.

    Every segment is sized by the longest run from the meter to any end (the codes'
    longest-length method), with all appliances burning; the pressure drop of each segment and
    of the way to the heater is shown beside it.

    Parameters
    ----------
    pipe : GasPipe
        A single run, or a tree of segments.
    source : EnergySource
        Natural gas or propane.
    heater_kw : float
        Input of the new water heater. [kW]
    other_kw : float
        Other appliances on a single run; a tree names its own loads. [kW]

    Returns
    -------
    PipeCheck or None
        None if neither a run nor a tree has been measured.
    """
    segments = pipe.segments or _single_run(pipe, other_kw)
    if not segments:
        return None
    lengths = {s.name: _equivalent_m(s) for s in segments}
    parent = {s.name: s.after for s in segments}
    flows = _flows(segments, parent, heater_kw)
    longest = max(sum(lengths[name] for name in _way(parent, s.name)) for s in segments)
    checks = {s.name: _check(s, source, flows[s.name], lengths[s.name], longest) for s in segments}
    heater_end = next(s.name for s in segments if s.feeds_heater)
    drops = [checks[name].drop_kpa for name in _way(parent, heater_end)]
    return PipeCheck(
        segments=tuple(checks.values()), longest_m=longest,
        drop_kpa=None if None in drops else sum(drop for drop in drops if drop is not None),
        total_kw=sum(s.load_kw for s in segments) + heater_kw,
    )  # fmt: skip


def _single_run(pipe: GasPipe, other_kw: float) -> tuple[GasSegment, ...]:
    if pipe.size is None or not pipe.length_m:
        return ()
    return (
        GasSegment.model_construct(
            name="meter to heater", after="meter", size=pipe.size, length_m=pipe.length_m,
            material=pipe.material, elbows=pipe.elbows, tees=pipe.tees,
            load_kw=0.0 if pipe.dedicated else other_kw, feeds_heater=True,
        ),
    )  # fmt: skip


def _way(parent: Mapping[str, str], name: str) -> list[str]:
    """Return the segments from one back to the meter."""
    way = [name]
    while parent[way[-1]] in parent:
        way.append(parent[way[-1]])
    return way


def _flows(
    segments: tuple[GasSegment, ...], parent: Mapping[str, str], heater_kw: float
) -> dict[str, float]:
    flows = dict.fromkeys(parent, 0.0)
    for segment in segments:
        load = segment.load_kw + (heater_kw if segment.feeds_heater else 0.0)
        for name in _way(parent, segment.name):
            flows[name] += load
    return flows


def _check(
    segment: GasSegment, source: EnergySource, flow_kw: float, length_m: float, longest_m: float
) -> SegmentCheck:
    sizes = _sizes(segment.material)
    enough = (
        s for s in sizes if (_capacity(segment.material, s, source, longest_m) or 0) >= flow_kw
    )
    bore = _bores().get((segment.material, segment.size))
    return SegmentCheck(
        name=segment.name, size=segment.size, flow_kw=flow_kw, length_m=length_m,
        drop_kpa=pressure_drop_kpa(flow_kw, bore, length_m, GASES[source]) if bore else None,
        capacity_kw=_capacity(segment.material, segment.size, source, longest_m),
        smallest_size=next(enough, None),
    )  # fmt: skip


def _capacity(
    material: GasMaterial, size: PipeSize, source: EnergySource, length_m: float
) -> float | None:
    if material is GasMaterial.CSST:
        return flexible_tube_capacity_kw(size, length_m, source)
    bore = _bores().get((material, size))
    if bore is None:
        return None
    gas = GASES[source]
    return pipe_capacity_m3_per_h(bore, length_m, ALLOWED_DROP_KPA, gas) * gas.heat_kwh_per_m3


def _equivalent_m(segment: GasSegment) -> float:
    bore_m = _bores().get((segment.material, segment.size), 0.0) / 1000.0
    fittings = _ELBOW_DIAMETERS * segment.elbows + _TEE_DIAMETERS * segment.tees
    return segment.length_m + bore_m * fittings


@lru_cache(maxsize=3)
def _sizes(material: GasMaterial) -> tuple[PipeSize, ...]:
    flexible = material is GasMaterial.CSST
    return tuple(size for size in PipeSize if size.is_flexible == flexible)


@lru_cache(maxsize=1)
def _bores() -> dict[tuple[GasMaterial, PipeSize], float]:
    rows = records("safety/gas_pipe_bores", {"bore": "mm"})
    return {(GasMaterial(row["material"]), PipeSize(row["size"])): row["bore"] for row in rows}


@lru_cache(maxsize=1)
def _csst() -> tuple[dict[str, float], ...]:
    return records("safety/csst_propane", {"length": "m", "capacity": "kW"})
