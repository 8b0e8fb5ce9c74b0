"""Demand against published figures and general-purpose libraries.

Each check names its source. "Seen" and "memory" say whether the figure itself was read; a value
"computed" from a published equation guards the arithmetic, not the equation.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from heatersel.demand.change_point import fit_five_parameter, fit_three_parameter, student_t_95
from heatersel.demand.draw_tables import draw_table
from heatersel.demand.inlet import mains_correlation_c
from heatersel.demand.peak_flow import (
    BusyFixture,
    flow_distribution,
    modified_normal_flow_l_per_min,
    simultaneous_flow_l_per_min,
)
from heatersel.demand.peak_flow_1940 import busy_count_1940, curve_1940_l_per_min
from heatersel.demand.peak_hour import worksheet_l
from heatersel.demand.soil import DAMP_SOIL_M2_PER_DAY, soil_temp_c
from heatersel.demand.uses import adult_equivalents, published_hot_water_l
from heatersel.job.models import Fixture, FixtureFlows, Occupants
from heatersel.reference import records
from heatersel.water import heat_kwh

GAL = 3.785411784
FT = 0.3048


def c(temp_f: float) -> float:
    return (temp_f - 32.0) / 1.8


def f(temp_c: float) -> float:
    return 1.8 * temp_c + 32.0


def climate_of(mean_f: float, swing_f: float) -> list[float]:
    """Twelve months with this mean and this difference of extreme months."""
    wave = [-math.cos(2 * math.pi * m / 12) for m in range(12)]
    return [c(mean_f + swing_f / 2 * share) for share in wave]


class TestMainsCorrelation:
    """Burch and Christensen (2007): mean and amplitude seen in the abstract, equation memory."""

    @pytest.mark.parametrize("mean_f", [44.0, 50.0, 60.0, 72.0])
    def test_tap_water_is_6_degf_above_the_air(self, mean_f: float) -> None:
        year = mains_correlation_c(climate_of(mean_f, 50.0))
        assert f(year.mean()) == pytest.approx(mean_f + 6.0, abs=0.05)

    @pytest.mark.parametrize(
        ("mean_f", "swing_f", "lowest_f", "lowest_day", "highest_f", "highest_day"),
        [
            (44, 50, 40.0, 50, 60.0, 233),
            (46, 58, 39.82, 48, 64.18, 231),
            (50, 50, 44.5, 44, 67.5, 227),
            (53, 25, 52.88, 41, 65.12, 224),
        ],
    )
    def test_extremes_of_four_climates(
        self, mean_f: float, swing_f: float, lowest_f: float, lowest_day: int,
        highest_f: float, highest_day: int,
    ) -> None:  # fmt: skip
        """Worked values computed independently from the equation, printed to 0.01 degF."""
        year = f(mains_correlation_c(climate_of(mean_f, swing_f)))
        assert year.min() == pytest.approx(lowest_f, abs=0.02)
        assert year.argmin() + 1 == pytest.approx(lowest_day, abs=1)
        assert year.max() == pytest.approx(highest_f, abs=0.02)
        assert year.argmax() + 1 == pytest.approx(highest_day, abs=1)


class TestSoil:
    def test_it_solves_the_heat_equation(self) -> None:
        """Finite differences of dT/dt = a d2T/dz2 under a sinusoidal surface, scipy's solver.

        30 m deep, six years to forget the start; within 0.1 K of Kusuda and Achenbach at 5 ft.
        """
        n, depth_m = 301, 30.0
        z = np.linspace(0.0, depth_m, n)
        dz = z[1] - z[0]

        def surface(day: float) -> float:
            return float(soil_temp_c(0.0, day, mean_c=8.0, amplitude_k=14.0))

        def rate(day: float, temp: np.ndarray) -> np.ndarray:
            full = np.concatenate([[surface(day)], temp, [temp[-1]]])
            return DAMP_SOIL_M2_PER_DAY * np.diff(full, 2) / dz**2

        days = np.arange(5 * 365.0, 6 * 365.0, 15.0)
        band = np.diag(np.ones(n - 1)) + np.diag(np.ones(n - 2), 1) + np.diag(np.ones(n - 2), -1)
        solved = integrate.solve_ivp(
            rate, (0.0, days[-1]), np.full(n - 1, 8.0), method="BDF", t_eval=days,
            rtol=1e-6, atol=1e-6, jac_sparsity=band,
        )  # fmt: skip
        at = 15  # node at 1.5 m
        ours = soil_temp_c(z[at], days, mean_c=8.0, amplitude_k=14.0)
        assert solved.y[at - 1] == pytest.approx(ours, abs=0.1)

    def test_mean_of_the_top_ten_feet_is_californias_ground_temperature(self) -> None:
        """2016 Residential ACM, appendix B4.2 (equation seen): year mean 50, coldest month 25,
        warmest 75 degF give 43.50, 36.86 and 38.83 degF on days 1, 46 and 100 (computed)."""
        coldest_day = 1 + 0.6 * 365 / (2 * math.pi)
        for day, expected_f in ((1, 43.501), (46, 36.860), (100, 38.827)):
            mean, _ = integrate.quad(
                lambda z, day=day: float(
                    soil_temp_c(z, day, mean_c=c(50), amplitude_k=25 / 1.8, coldest_day=coldest_day)
                ),
                0.0, 10 * FT,
            )  # fmt: skip
            # 0.03 degF: the manual rounds its year to 365 x 24 hours and damping to 5 digits.
            assert f(mean / (10 * FT)) == pytest.approx(expected_f, abs=0.03)

    @pytest.mark.parametrize(
        ("depth_ft", "ratio", "delay_days"),
        [(1, 0.887, 7), (3, 0.698, 21), (5, 0.549, 35), (8, 0.384, 56)],
    )
    def test_swing_and_delay_by_depth(
        self, depth_ft: float, ratio: float, delay_days: float
    ) -> None:
        """Damped sinusoid in damp soil, 0.025 ft2/h (diffusivity seen; values computed)."""
        days = np.arange(1.0, 366.0)
        deep = soil_temp_c(depth_ft * FT, days, mean_c=10.0, amplitude_k=1.0)
        assert np.ptp(deep) / 2 == pytest.approx(ratio, abs=0.001)
        assert deep.argmin() + 1 - 35 == pytest.approx(delay_days, abs=1)

    def test_worked_example(self) -> None:
        """Mean 50, amplitude 25 degF, coldest surface day 35: 38.65 degF at 5 ft on day 35."""
        at = soil_temp_c(5 * FT, 35.0, mean_c=c(50), amplitude_k=25 / 1.8)
        assert f(float(at)) == pytest.approx(38.65, abs=0.01)


class TestDailyVolume:
    """ANSI/RESNET/ICC 301 reference home (equations memory, high; values computed)."""

    @pytest.mark.parametrize(
        ("bedrooms", "mains_f", "gal"),
        [
            (1, 45, 31.25), (1, 60, 29.27), (1, 75, 26.09), (2, 45, 42.68), (2, 60, 39.92),
            (2, 75, 35.51), (3, 45, 53.44), (3, 60, 49.96), (3, 75, 44.40), (4, 45, 63.87),
            (4, 60, 59.70), (4, 75, 53.01), (5, 45, 74.09), (5, 60, 69.24), (5, 75, 61.46),
            (1, 58, 29.6), (2, 58, 40.4), (3, 58, 50.5), (4, 58, 60.4), (5, 58, 70.0),
            (1, 50, 30.7), (2, 50, 41.9), (3, 50, 52.4), (4, 50, 62.7), (5, 50, 72.7),
        ],
    )  # fmt: skip
    def test_by_bedrooms_and_mains(self, bedrooms: int, mains_f: float, gal: float) -> None:
        got = published_hot_water_l(bedrooms, c(mains_f), setpoint_c=c(125), use_c=c(105)) / GAL
        assert got == pytest.approx(gal, abs=0.06)

    def test_people_lie_between_low_and_high_use(self) -> None:
        """ASHRAE HVAC Applications, per person and day: 14 low, 54 high gal (memory, high)."""
        rows = {r["period"]: r for r in records("fixtures/per_person", {"low": "L", "high": "L"})}
        day = rows["average_day"]
        for people in range(1, 7):
            equivalent = adult_equivalents(Occupants(adults=people))
            litres = published_hot_water_l(max((equivalent - 0.87) / 0.59, 0), c(55))
            assert day["low"] < litres / people < day["high"]

    def test_the_measured_mean_household(self) -> None:
        """45.5 gal a day in 94 metered homes, DeOreo et al. 2016 (memory, medium-high).

        Homes of 2.7 people (the study's mean, memory, medium) against the equation at 58 degF:
        within 20 %, as close as metering and rating assumptions agree.
        """
        litres = published_hot_water_l((2.7 - 0.87) / 0.59, c(58))
        assert litres / GAL == pytest.approx(45.5, rel=0.2)

    def test_canadas_guide_figure(self) -> None:
        """75 L a person and day, federal consumer guide (seen second-hand); four at 45 degF."""
        litres = published_hot_water_l((4 - 0.87) / 0.59, c(45))
        assert litres / 4 == pytest.approx(75.0, rel=0.1)


class TestPeakHourWorksheet:
    """US Department of Energy, worksheet for peak-hour demand."""

    def test_older_edition_example(self) -> None:
        """3 showers, shaving, shampoo, hand dishwashing: 46 gal (seen)."""
        rows = records("fixtures/peak_hour_worksheet", {"hot_water": "L"})
        gal = {r["use"]: r["hot_water"] / GAL for r in rows if r["version"] == "older"}
        total = 3 * gal["shower"] + gal["shaving"] + gal["shampoo"] + gal["hand_dishwashing"]
        assert total == pytest.approx(46.0)

    @pytest.mark.parametrize(("edition", "gal"), [("middle", 36.0), ("later", 66.0)])
    def test_newer_editions(self, edition: str, gal: float) -> None:
        """3 showers, one shave, one hand dishwashing: 36 gal (seen second-hand), 66 (memory)."""
        uses = {Fixture.SHOWER: 3, Fixture.LAVATORY: 1, Fixture.KITCHEN_SINK: 1}
        assert worksheet_l(uses)[edition] / GAL == pytest.approx(gal)


class TestFlowAndRise:
    """Heat rate of a flow raised by a rise; examples credited to the US Energy Department in a
    newspaper of February 2008 (flows and temperatures seen, products with 8.33 lb/gal derived)."""

    def test_faucet_and_shower_add_up(self) -> None:
        """0.75 and 2.5 gal/min are 3.25 gal/min."""
        uses = {Fixture.LAVATORY: 1, Fixture.SHOWER: 1}
        flows = FixtureFlows.model_validate({"lavatory": "0.75 gal/min", "shower": "2.5 gal/min"})
        assert simultaneous_flow_l_per_min(uses, flows) / GAL == pytest.approx(3.25)

    @pytest.mark.parametrize(
        ("gpm", "btu_per_h"), [(3.25, 113_704.5), (5.0, 174_930.0), (2.0, 20.51 * 3412.14)]
    )
    def test_heat_at_a_rise_of_70_degf(self, gpm: float, btu_per_h: float) -> None:
        """50 to 120 degF. The gallon counted here is hot and 1.2 % lighter than 8.33 lb."""
        kw = heat_kwh(60.0 * gpm * GAL, c(50.0), c(120.0))
        assert kw * 3412.14 == pytest.approx(btu_per_h, rel=0.015)


def house_37() -> list[BusyFixture]:
    """2 tub-showers, 3 lavatories, kitchen, dishwasher, clothes washer; published p and q."""
    gpm = ((2, 0.055, 5.5), (3, 0.02, 1.5), (1, 0.02, 2.2), (1, 0.005, 1.3), (1, 0.055, 3.5))
    return [BusyFixture(n=n, p_busy=p, flow_l_per_min=q * GAL) for n, p, q in gpm]


def house_38() -> list[BusyFixture]:
    """The same with two shower heads in place of the tub-showers."""
    return [BusyFixture(n=2, p_busy=0.045, flow_l_per_min=2.0 * GAL), *house_37()[1:]]


class TestPeakFlow:
    """Peak Water Demand Study 2017 (p, q and equations memory, high; examples computed)."""

    @pytest.mark.parametrize(
        ("house", "busy_gpm", "all_gpm", "modified_gpm"),
        [(house_37(), 11.0, 7.7, 12.83), (house_38(), 5.5, 4.2, 6.73)],
    )
    def test_two_houses(
        self, house: list[BusyFixture], busy_gpm: float, all_gpm: float, modified_gpm: float
    ) -> None:
        flow = flow_distribution(house)
        assert flow.percentile_l_per_min(0.99, given_busy=True) / GAL == pytest.approx(busy_gpm)
        assert flow.percentile_l_per_min(0.99) / GAL == pytest.approx(all_gpm)
        assert modified_normal_flow_l_per_min(house) / GAL == pytest.approx(modified_gpm, abs=0.01)

    def test_chance_that_nothing_runs(self) -> None:
        assert flow_distribution(house_37()).idle_probability == pytest.approx(0.7745, abs=1e-4)

    def test_twenty_shower_heads(self) -> None:
        heads = [BusyFixture(n=20, p_busy=0.045, flow_l_per_min=2.0 * GAL)]
        flow = flow_distribution(heads)
        assert flow.percentile_l_per_min(0.99, given_busy=True) / GAL == pytest.approx(8.0)
        assert modified_normal_flow_l_per_min(heads) / GAL == pytest.approx(7.76, abs=0.01)

    @pytest.mark.parametrize(("n", "p"), [(1, 0.045), (7, 0.02), (40, 0.055), (100, 0.2)])
    def test_one_kind_is_scipys_binomial(self, n: int, p: float) -> None:
        flow = flow_distribution([BusyFixture(n=n, p_busy=p, flow_l_per_min=1.0)])
        assert flow.probability == pytest.approx(stats.binom.pmf(np.arange(n + 1), n, p), abs=1e-12)
        for percentile in (0.5, 0.95, 0.99, 0.999):
            assert flow.percentile_l_per_min(percentile) == stats.binom.ppf(percentile, n, p)

    def test_the_approximations_spread_is_that_of_busy_moments(self) -> None:
        """Its root over 1 - P0 is the standard deviation of the flow given that it is not zero."""
        flow = flow_distribution(house_37())
        busy = flow.probability[1:] / flow.probability[1:].sum()
        mean = flow.flow_l_per_min[1:] @ busy
        spread = math.sqrt(((flow.flow_l_per_min[1:] - mean) ** 2) @ busy)
        z = stats.norm.ppf(0.99)
        idle = flow.idle_probability
        assert modified_normal_flow_l_per_min(house_37()) == pytest.approx(
            mean + (1 + idle) * z * spread
        )


class TestMethodOf1940:
    @pytest.mark.parametrize(("p", "busy"), [(0.2, 30), (0.03, 8)])
    def test_a_hundred_closets(self, p: float, busy: int) -> None:
        """NBS BMS65 criterion (memory): 100 flush tanks p 0.2, 100 flush valves p 0.03."""
        assert busy_count_1940(100, p) == busy
        assert busy == stats.binom.ppf(0.99, 100, p)

    @pytest.mark.parametrize(
        ("units", "gpm"), [(1, 3.0), (10, 14.6), (20, 19.6), (50, 29.1), (100, 43.5), (200, 65.0)]
    )
    def test_printed_points_of_the_curve(self, units: float, gpm: float) -> None:
        """International Plumbing Code table E103.3(3), flush tanks (memory, high)."""
        assert curve_1940_l_per_min(units) / GAL == pytest.approx(gpm)

    def test_the_curve_is_the_binomial_count_times_the_flow(self) -> None:
        """100 flush tanks of 5 units and 4 gal/min: 30 busy, 120 gal/min; the curve prints 124.

        100 flush valves of 10 units and 27 gal/min: 8 busy, 216; the curve prints 208.
        """
        units = {"flow_duration": "s", "interval": "s", "flow": "L/min", "fixture_units": ""}
        rows = {r["fixture"]: r for r in records("fixtures/congested_use_1940", units)}
        for name in ("flush_tank_closet", "flush_valve_closet"):
            row = rows[name]
            busy = busy_count_1940(100, row["flow_duration"] / row["interval"])
            assert curve_1940_l_per_min(100 * row["fixture_units"]) == pytest.approx(
                busy * row["flow"], rel=0.05
            )


class TestDrawStatistics:
    def test_two_studies_agree_on_showers(self) -> None:
        """Event table (memory, medium) against 7.8 min and 2.1 gal/min metered in 2016 (memory)."""
        table = draw_table("shower")
        assert table.duration_s.mean() / 60 == pytest.approx(7.8, rel=0.01)
        assert table.flow_l_per_min.mean() / GAL == pytest.approx(2.1, rel=0.08)

    def test_lognormal_shape_of_showers(self) -> None:
        """Against scipy's lognormal of the same mean and spread: quantiles within 6 %."""
        table = draw_table("shower")
        mean, sd = table.duration_s.mean(), table.duration_s.std()
        sigma = math.sqrt(math.log(1 + (sd / mean) ** 2))
        exact = stats.lognorm(s=sigma, scale=mean / math.exp(sigma**2 / 2))
        for percentile in (0.05, 0.25, 0.5, 0.75, 0.95):
            assert np.quantile(table.duration_s, percentile) == pytest.approx(
                exact.ppf(percentile), rel=0.06
            )

    def test_exponential_shape_of_sinks(self) -> None:
        """Spread over mean of 0.67 / 0.62 min is close to the exponential's 1 (memory)."""
        table = draw_table("sink")
        exact = stats.expon(scale=table.duration_s.mean())
        for percentile in (0.5, 0.75, 0.95):
            assert np.quantile(table.duration_s, percentile) == pytest.approx(
                exact.ppf(percentile), rel=0.12
            )


TEMP_C = np.array([-12.0, -9.0, -3.0, 4.0, 10.0, 15.5, 18.5, 17.5, 12.5, 6.0, -1.5, -9.0])


def three(temp_c: np.ndarray, base: float, slope: float, balance: float) -> np.ndarray:
    return base + slope * np.maximum(balance - temp_c, 0.0)


def five(
    temp_c: np.ndarray, base: float, heat: float, low: float, cool: float, high: float
) -> np.ndarray:
    return three(temp_c, base, heat, low) + cool * np.maximum(temp_c - high, 0.0)


class TestChangePoint:
    """Against scipy.optimize's general-purpose least squares from the true parameters."""

    @pytest.mark.parametrize("seed", range(6))
    def test_three_parameters(self, seed: int) -> None:
        use = three(TEMP_C, 25.0, 3.0, 13.0) + np.random.default_rng(seed).normal(0, 3.0, 12)
        ours = fit_three_parameter(TEMP_C, use, np.ones(12))
        theirs, covariance = optimize.curve_fit(three, TEMP_C, use, p0=[25.0, 3.0, 13.0])

        def squares(parameters: tuple[float, ...]) -> float:
            return float(np.sum((use - three(TEMP_C, *parameters)) ** 2))

        found = (ours.base_per_day, ours.heating_per_day_k, ours.heating_balance_c or 0.0)
        assert squares(found) <= 1.001 * squares(tuple(theirs))
        if squares(found) > 0.999 * squares(tuple(theirs)):  # both in the same valley
            assert ours.base_per_day == pytest.approx(theirs[0], abs=0.1)
            assert ours.base_error_per_day == pytest.approx(math.sqrt(covariance[0, 0]), rel=0.1)

    @pytest.mark.parametrize("seed", range(3))
    def test_five_parameters(self, seed: int) -> None:
        temp = np.concatenate([TEMP_C + 12.0, TEMP_C + 9.0])
        truth = (18.0, 2.0, 13.0, 1.2, 21.0)
        use = five(temp, *truth) + np.random.default_rng(seed).normal(0, 0.8, 24)
        ours = fit_five_parameter(temp, use, np.ones(24))
        theirs, _ = optimize.curve_fit(five, temp, use, p0=truth)
        assert ours.base_per_day == pytest.approx(theirs[0], abs=0.25)
        residual = np.sum((use - ours.use_per_day(temp)) ** 2)
        assert residual <= 1.01 * np.sum((use - five(temp, *theirs)) ** 2)

    @pytest.mark.parametrize("degrees", [1, 2, 5, 9, 21, 30])
    def test_students_t(self, degrees: int) -> None:
        assert student_t_95(degrees) == pytest.approx(stats.t.ppf(0.975, degrees), abs=5e-4)
        assert student_t_95(500) == pytest.approx(stats.norm.ppf(0.975), abs=1e-3)
